"""What stands on the labels that tests print: usual, shortest and longest texts in several alphabets."""

from fieldlog.domain.label_content import CHAIN, DUE, SPARE, TAG, WITHDRAWN
from fieldlog.domain.paper_rules import YearColour

TEXTS = {
    TAG: {
        "capacity": "500 kg",
        "chain": "5 x 15 mm, T",
        "site": "Saltmarsh Water Works",
        "place": "sludge press, east bay",
        "shop": "Saltmarsh hoist shop",
        "maker": "Longreach EH 500, 40-1187",
    },
    DUE: {
        "heading": "next inspection due",
        "month": "11",
        "year": "2027",
        "kind": "periodic",
        "due": "2027-11-30",
        "done": "2026-11-25",
        "by": "I. Fenwright",
        "shop": "Saltmarsh hoist shop",
        "head": "4f09c2d17a",
        "colour": "2027 yellow",
        "print": "2",
    },
    WITHDRAWN: {
        "signal": "DANGER",
        "message": "DO NOT USE",
        "heading": "hoist out of service",
        "reason": "upper chain guide cracked at the top, pocket wheel worn",
        "site": "Saltmarsh Water Works",
        "place": "sludge press, east bay",
        "by": "I. Fenwright",
        "since": "2026-11-25",
        "lock": "7",
        "remove": "I. Fenwright, or by a named authoriser",
        "shop": "Saltmarsh hoist shop",
        "head": "4f09c2d17a",
        "print": "2",
    },
    CHAIN: {
        "heading": "load chain",
        "size": "5 x 15 mm",
        "grade": "T",
        "links": "11 links inside",
        "nominal": "165 mm",
        "discard": "167.475 mm",
        "rule": "1.5 % of 11 x 15 mm; DOE-STD-1090-96, Hoisting and Rigging Manual, 1996, Rev. 1, chapter 8, "
        "load chain elongation",
        "reference": "computed from 5 x 15",
        "fitted": "2024-03-18",
        "site": "Saltmarsh Water Works",
        "place": "sludge press, east bay",
        "shop": "Saltmarsh hoist shop",
        "head": "4f09c2d17a",
        "print": "2",
    },
    SPARE: {
        "heading": "spare load chain",
        "size": "5 x 15 mm",
        "grade": "T",
        "length": "12.5 m",
        "certificate": "C-2026-0418",
        "received": "2026-10-02",
        "note": "heat 88213, rack 4",
        "shop": "Saltmarsh hoist shop",
    },
}
KINDS = tuple(TEXTS)

SHORTEST = {
    TAG: dict.fromkeys(("capacity", "chain", "site", "place", "shop", "maker"), ""),
    DUE: {"month": "1", "by": "", "colour": "", "print": ""},
    WITHDRAWN: {"reason": "?", "by": "Y", "remove": "Y", "lock": "", "place": "", "print": ""},
    CHAIN: {"size": "4 x 12 mm", "grade": "", "reference": "", "fitted": "", "place": "", "print": ""},
    SPARE: {"size": "4 x 12 mm", "grade": "", "length": "3 m", "certificate": "1", "note": ""},
}
GREEK = "Υδραυλικά Έργα Θεσσαλονίκης, Συνεργείο Ανυψωτικών Μηχανημάτων και Αλυσίδων"
GERMAN = "Städtische Wasserwerke Großenbrode-Süd, Zweigstelle Æbeltoft"
POLISH = "Przepompownia Ścieków Łódź-Północ, hala żurawia, suwnica trzecia od rzeki"
NAMES = "Aleksandra Brzęczyszczykiewicz-Wiśniewska, Ґалаґан-Їжакевич"
LONGEST = {
    TAG: {
        "capacity": "125000 kg",
        "chain": "31.5 x 90 mm, grade VH with corrosion protection",
        "site": GERMAN,
        "place": POLISH,
        "shop": GREEK,
        "maker": "Müllerström & Çelik Kettenzugfabrik EH 500-2/1 mit Fahrwerk, 40-1187-2019-B-0001",
    },
    DUE: {"month": "12", "kind": "before first use", "by": NAMES, "shop": GREEK, "print": "12"},
    WITHDRAWN: {
        "reason": f"{POLISH}: pęknięta górna prowadnica łańcucha; D1: latch bent, does not reach the tip; "
        "load chain elongation: at usual working height: grown 2.6 of 2.475 mm allowed",
        "site": GERMAN,
        "place": POLISH,
        "by": NAMES,
        "lock": "padlocks 117 and 118 of the works, tag board 3",
        "remove": f"{NAMES}, or by a named authoriser",
        "shop": GREEK,
        "print": "12",
    },
    CHAIN: {
        "size": "31.5 x 90.25 mm",
        "grade": "VH with corrosion protection",
        "links": "11 links outside",
        "nominal": "1055.625 mm",
        "discard": "1070.475 mm",
        "rule": "discard length 1070.475 mm over 11 links; the hoist maker's book, as entered: Βιβλίο "
        "οδηγιών EH 500-2/1, Ausgabe 2019-04, Abschnitt 7.3.2, Tafel 12",
        "reference": "maker's book (Βιβλίο οδηγιών EH 500-2/1, Ausgabe 2019-04)",
        "site": GERMAN,
        "place": POLISH,
        "shop": GREEK,
        "print": "12",
    },
    SPARE: {
        "size": "31.5 x 90.25 mm",
        "grade": "VH with corrosion protection",
        "length": "1250.125 m",
        "certificate": "świadectwo ZŁ/2026/0418-A, partia 12 z 14, odbiór Gdańsk-Północ",
        "note": GREEK,
        "shop": GREEK,
    },
}

YELLOW = YearColour(name="yellow", hex="#DDAF27", ral="1012")
