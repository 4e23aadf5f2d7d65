"""Texts of the service forms as a technician types them."""

CHAIN_SET = {
    "chain": "5x15",
    "grade": "T",
    "certificate": "CC-2211",
    "length": "12.5",
    "set": "yes",
    "links": "11",
    "basis": "inside",
    "baseline": "165.1",
}
WITHDRAWAL = {"reason": "dropped load", "lock": "lock 14"}
MENDING = {"work": "new latch, part 17", "checked_by": "Ben Sorrel", "load_path": "no"}
LOAD_TEST = {"required": "625", "reached": "625", "passed": "yes"}
RETURN = {"guards": "yes", "locks": "Ada Fenn"}
