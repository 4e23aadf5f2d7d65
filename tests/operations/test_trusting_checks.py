"""What is taken out of allowed_signers and revoked_keys, put in or changed is told, a line a problem.

That ssh-keygen goes by the odd lines given here is checked with `ssh-keygen -Y verify` itself.
"""

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from fieldlog.errors import Problem
from fieldlog.operations.shop import Shop
from fieldlog.operations.trusting import revoke_key, trust_key
from fieldlog.operations.trusting_checks import trust_problems
from fieldlog.store.signatures import sign
from tests.operations.builder import ADA, BEN, NOW, ready_shop, with_ben
from tests.store.keys import by_hand, make_key, public

UNTIL = date(2027, 1, 31)
Change = Callable[[str], str]
_BEN_ENDED = 'Ben_Sorrel namespaces="fieldlog",valid-before="20260101235959" '


@pytest.fixture(scope="module")
def keys(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Ada's, Ben's, one that is revoked, and one that nobody told of."""
    folder = tmp_path_factory.mktemp("keys")
    return [make_key(folder, name) for name in ("ada", "ben", "gone", "strange")]


@pytest.fixture
def shop(tmp_path: Path, keys: list[Path]) -> Shop:
    """Ada may sign until a day, Ben without one, and a third key of Ben's is revoked."""
    shop = ready_shop(tmp_path / "store")
    with_ben(shop)
    ada, ben, gone, _ = (public(key) for key in keys)
    trust_key(shop, ADA, ada, until=UNTIL, by=ADA, now=NOW)
    trust_key(shop, BEN, ben, until=None, by=ADA, now=NOW)
    trust_key(shop, BEN, gone, until=None, by=ADA, now=NOW)
    revoke_key(shop, gone, by=BEN, now=NOW)
    return shop


def problems(shop: Shop) -> tuple[Problem, ...]:
    return trust_problems(shop.root, shop.logbooks.read("people").entries)


def changed(shop: Shop, name: str, change: Change) -> list[str]:
    path = shop.root / name
    path.write_text(change(path.read_text()))
    found = problems(shop)
    assert all(problem.todo for problem in found)
    assert all("\n" not in str(problem) for problem in found)
    return [str(problem) for problem in found]


def text_of(key: Path) -> str:
    return " ".join(public(key).read_text().split()[:2])


def name_of(key: Path) -> str:
    """The last letters of the key's text, by which its line is found in a file."""
    return text_of(key)[-12:]


def without(key: Path) -> Change:
    return lambda text: "".join(row for row in text.splitlines(keepends=True) if name_of(key) not in row)


def test_files_as_they_were_written_are_no_problem(shop: Shop) -> None:
    assert problems(shop) == ()


def test_a_store_without_keys_has_none(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path / "another")
    assert problems(shop) == ()


def test_comments_empty_lines_and_another_order_are_none(shop: Shop) -> None:
    def turned(text: str) -> str:
        return "# who may sign\n\n \t\n" + "\r\n".join(reversed(text.splitlines())) + "\n"

    assert changed(shop, "allowed_signers", turned) == []


@pytest.mark.parametrize("how", ["line", "file"])
def test_a_key_that_is_revoked_no_more_is_told(shop: Shop, keys: list[Path], how: str) -> None:
    if how == "file":
        (shop.root / "revoked_keys").unlink()
        (told,) = map(str, problems(shop))
    else:
        (told,) = changed(shop, "revoked_keys", without(keys[2]))
    assert told.startswith("revoked_keys: the key SHA256:")
    assert " of Ben Sorrel was revoked by Ben Sorrel on 2026-11-25, but does not stand here." in told
    assert "Revoke it again: fieldlog people revoke SHA256:" in told


def test_a_signer_that_is_gone_is_told(shop: Shop, keys: list[Path]) -> None:
    (told,) = changed(shop, "allowed_signers", without(keys[0]))
    assert told.startswith("allowed_signers: SHA256:")
    assert "may sign for Ada Fenn until 2027-01-31 by the record that was sealed by Ada Fenn" in told
    assert 'fieldlog people trust "Ada Fenn" SHA256:' in told
    assert told.endswith(" --until 2027-01-31")
    # the line of a revoked key makes no difference
    (shop.root / "allowed_signers").unlink()
    assert len(problems(shop)) == 2


@pytest.mark.parametrize(
    ("was", "now", "said"),
    [
        (
            "20270131235959",
            "20370131235959",
            "until 2037-01-31 here, but until 2027-01-31 by the record",
        ),
        (',valid-before="20270131235959"', "", "Ada_Fenn here, but until 2027-01-31 by the record"),
    ],
)
def test_another_last_day_is_told(shop: Shop, was: str, now: str, said: str) -> None:
    (told,) = changed(shop, "allowed_signers", lambda text: text.replace(was, now))
    assert said in told
    assert told.startswith("allowed_signers line 1: ")


def test_a_last_day_that_no_record_sets_is_told(shop: Shop) -> None:
    (told,) = changed(
        shop,
        "allowed_signers",
        lambda text: text.replace('Ben_Sorrel namespaces="fieldlog" ', _BEN_ENDED, 1),
    )
    assert "Ben_Sorrel until 2026-01-01 here, but without an end by the record" in told


def test_a_second_line_of_the_same_key_is_told(shop: Shop) -> None:
    def twice(text: str) -> str:
        return text + text.splitlines()[0].replace("20270131", "20990131") + "\n"

    (told,) = changed(shop, "allowed_signers", twice)
    assert told.startswith("allowed_signers line 4: ")
    assert "until 2099-01-31 here" in told


@pytest.mark.parametrize("number", [1, 3])
def test_a_signer_that_no_record_tells_of_is_told(shop: Shop, keys: list[Path], number: int) -> None:
    """A strange key as Ada's, and Ben's key as Ada's too."""
    key = keys[3] if number == 3 else keys[1]
    (told,) = changed(
        shop, "allowed_signers", lambda text: f'{text}Ada_Fenn namespaces="fieldlog" {text_of(key)}\n'
    )
    assert told.startswith("allowed_signers line 4: no record tells that SHA256:")
    assert "may sign for Ada_Fenn." in told
    assert 'fieldlog people trust "Ada Fenn" SHA256:' in told


def test_a_revoked_key_that_no_record_tells_of_is_told(shop: Shop, keys: list[Path]) -> None:
    (told,) = changed(shop, "revoked_keys", lambda text: f"{text}{text_of(keys[0])}\n")
    assert told.startswith("revoked_keys line 2: no record tells that the key SHA256:")
    assert "fieldlog people revoke SHA256:" in told


@pytest.mark.parametrize(
    "line",
    [
        "Ada_Fenn {key}",
        "*_Fenn {key}",
        '\t Ada_Fenn namespaces="field*" {key}',
        'Ben_Sorrel,Ada_Fenn namespaces="fieldlog" {key}',
        "\u00a0#,Ada_Fenn {key}",
        "\u2028#,Ada_Fenn {key}",
        "\x0b#,Ada_Fenn {key}",
        "#x\x0bAda_Fenn {key}\nAda_Fenn  {key}",
    ],
)
def test_a_line_that_ssh_keygen_goes_by_is_told_whatever_its_shape(
    shop: Shop, keys: list[Path], tmp_path: Path, line: str
) -> None:
    path = shop.root / "allowed_signers"
    text = path.read_text() + line.format(key=text_of(keys[3])) + "\n"
    path.write_bytes(text.encode())
    signature, _ = sign(b"a line\n", keys[3])
    assert by_hand(shop.root, "Ada_Fenn", signature, b"a line\n", tmp_path)
    (told,) = problems(shop)
    assert told.place.startswith("allowed_signers line ")
    assert "no record tells" in told.wrong or "not as fieldlog writes it" in told.wrong


def test_a_revoked_line_of_another_shape_is_told(shop: Shop) -> None:
    (told,) = changed(shop, "revoked_keys", lambda text: f"{text}serial: 1\n")
    assert told.startswith("revoked_keys line 2: this line is not as fieldlog writes it")


@pytest.mark.parametrize("name", ["allowed_signers", "revoked_keys"])
def test_a_file_that_does_not_read_is_a_problem(shop: Shop, name: str) -> None:
    (shop.root / name).write_bytes(b"SSHKRL\n\0\xff\xfe")
    (told,) = problems(shop)
    assert (told.place, told.todo) == (name, "Put it back from a backup.")
    assert "can not be read" in told.wrong


def test_a_store_of_an_earlier_fieldlog_is_told_how_to_record_its_keys(
    tmp_path: Path, keys: list[Path]
) -> None:
    shop = ready_shop(tmp_path / "earlier")
    (shop.root / "allowed_signers").write_text(
        "".join(f'Ada_Fenn namespaces="fieldlog" {text_of(key)}\n' for key in (keys[0], keys[2]))
    )
    (shop.root / "revoked_keys").write_text(f"{text_of(keys[2])}\n")
    # of the revoked key only that it is revoked: to trust it again would be refused
    assert [problem.place for problem in problems(shop)] == ["revoked_keys line 1", "allowed_signers line 1"]
    trust_key(shop, ADA, public(keys[0]), until=None, by=ADA, now=NOW)
    revoke_key(shop, public(keys[2]), by=ADA, now=NOW)
    assert problems(shop) == ()
