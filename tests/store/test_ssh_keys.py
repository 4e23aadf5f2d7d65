"""A program of OpenSSH is run without a shell and without a terminal, and never for longer than was said."""

import sys

from fieldlog.store.ssh_keys import run


def python(text: str, *arguments: str) -> list[str]:
    return [sys.executable, "-c", text, *arguments]


def test_what_goes_in_and_comes_out_is_bytes() -> None:
    answer = run(python("import sys; sys.stdout.buffer.write(sys.stdin.buffer.read()[::-1])"), b"\x00\xffa")
    assert (answer.ok, answer.out) == (True, b"a\xff\x00")


def test_the_last_words_of_a_failure_are_kept() -> None:
    answer = run(python("import sys; print('first', file=sys.stderr); sys.exit('No such key')"))
    assert (answer.ok, answer.late, answer.words) == (False, False, "No such key")


def test_one_that_hangs_is_ended_with_all_that_it_started() -> None:
    hang = "import os, time; os.fork(); time.sleep(60)"
    answer = run(python(hang), seconds=0.3)
    assert (answer.ok, answer.late) == (False, True)
    assert answer.words.endswith("gave no answer within 0.3 seconds")


def test_a_program_that_is_not_installed_is_said() -> None:
    answer = run(["no-such-program-of-openssh"])
    assert (answer.ok, "could not be started" in answer.words) == (False, True)


def test_arguments_are_no_shell_text() -> None:
    answer = run(python("import sys; print(sys.argv[1])", "$(id); `id` & x"))
    assert answer.out == b"$(id); `id` & x\n"


def test_there_is_no_terminal_to_ask_at() -> None:
    ask = "import os\ntry: os.open('/dev/tty', os.O_RDWR); print('tty')\nexcept OSError: print('none')"
    assert run(python(ask)).out == b"none\n"
    told = run(python("import os; print(os.environ['SSH_ASKPASS_REQUIRE'], os.getsid(0) == os.getpid())"))
    assert told.out == b"never True\n"
