"""The one table of commands: keys, the key line, the list of all commands and the help come from it.

A command's id is what a settings file names to give it another key. `title` stands in the key line, `help`
says in the help what the key does. A command whose action begins with `app.` can be run from every screen.
"""

from collections.abc import Iterable

from msgspec import Struct
from msgspec.structs import replace
from textual.binding import Binding


class Command(Struct, frozen=True):
    """One thing that can be done: id, keys (several by commas), action, title, help, and how it is shown."""

    id: str
    keys: str
    action: str
    title: str
    help: str
    shown: bool = True
    priority: bool = False


def _shown(id: str, keys: str, action: str, title: str, help: str = "") -> Command:
    return Command(id, keys, action, title, help)


def _quiet(id: str, keys: str, action: str, title: str, help: str = "") -> Command:
    """A command that has no room in the key line; help and list of commands show it."""
    return Command(id, keys, action, title, help, shown=False)


def _first(command: Command) -> Command:
    """A command whose key comes before what the field with the cursor would do with it."""
    return replace(command, priority=True)


COMMANDS: dict[str, tuple[Command, ...]] = {
    "app": (
        _first(_quiet("app.quit", "ctrl+q", "quit", "Leave", "everything typed is kept")),
        _quiet("app.repaint", "ctrl+l", "repaint", "Paint anew", "after another program wrote here"),
        _quiet("app.suspend", "ctrl+z", "suspend_process", "To the shell, fg comes back"),
    ),
    "page": (
        _shown("page.keys", "f1", "app.keys", "Keys", "this help"),
        _shown("page.commands", "f9", "app.commands", "All", "every command, found by any word"),
        _quiet("page.tag", "f2", "tag", "Tag field", "type or scan a tag"),
        _quiet("page.back", "escape", "back", "Back", "nothing typed is lost"),
    ),
    "table": (
        _quiet("table.up", "up,k", "move(-1)", "Row up"),
        _quiet("table.down", "down,j", "move(1)", "Row down"),
        _quiet("table.page_up", "pageup", "page(-1)", "Page up"),
        _quiet("table.page_down", "pagedown", "page(1)", "Page down"),
        _quiet("table.first", "home,g", "edge(-1)", "First row"),
        _quiet("table.last", "end,G", "edge(1)", "Last row"),
        _quiet("table.choose", "enter", "choose", "Open", "what the row stands for"),
    ),
    "month": (
        _quiet("month.left", "left", "move(-1)", "Day before"),
        _quiet("month.right", "right", "move(1)", "Day after"),
        _quiet("month.up", "up", "move(-7)", "Week before"),
        _quiet("month.down", "down", "move(7)", "Week after"),
        _quiet("month.before", "pageup", "month(-1)", "Month before"),
        _quiet("month.after", "pagedown", "month(1)", "Month after"),
        _quiet("month.today", "home", "today", "Today"),
        _quiet("month.choose", "enter", "choose", "To the list of the day"),
    ),
    "form": (
        _first(_shown("form.send", "f10", "send", "Save", "take the form")),
        _first(_quiet("form.next", "enter,down", "next", "Next field")),
        _first(_quiet("form.previous", "up", "previous", "Field before")),
        _shown("form.choice", "f3", "choice(1)", "Next choice", "step through what can be chosen here"),
    ),
    "commands": (
        _first(_shown("commands.run", "enter", "run", "Run", "the command under the cursor")),
        _first(_quiet("commands.up", "up", "step(-1)", "Row up")),
        _first(_quiet("commands.down", "down", "step(1)", "Row down")),
    ),
    "due": (
        _shown("due.find", "slash", "find", "Find", "by any words: tag, site, place, maker, serial"),
        _shown("due.register", "n", "app.begin_registration", "New hoist", "register it and give it a tag"),
        _shown("due.drafts", "d", "app.show_drafts", "Drafts", "what was left open, by whom"),
        _shown("due.visit", "v", "app.visit", "Visit", "work, tools and spare chain for one site"),
        _shown("due.calendar", "c", "app.calendar", "Calendar", "what is due, day by day"),
        _quiet("due.figures", "f", "app.figures", "Figures", "load by month, wear, chain life"),
        _quiet("due.tools", "t", "app.show_register('instruments')", "Tools", "instruments, calibration"),
        _quiet("due.people", "p", "app.show_register('people')", "People", "who may seal, until when"),
        _quiet("due.sites", "s", "app.show_register('sites')", "Sites", "places, owners, rulebooks"),
        _quiet("due.print", "b", "app.print_many", "Print many", "labels of a site or a day's work"),
        _quiet("due.reports", "o", "app.reports", "Reports", "due list or figures on paper"),
        _quiet("due.verify", "y", "app.verify", "Verify", "check every logbook byte by byte"),
        _quiet("due.settings", "e", "app.settings", "Settings", "shop, rulebook, printer, theme, keys"),
        _quiet("due.refresh", "r", "look_again", "Look again", "what other sessions sealed"),
        _first(_shown("app.leave", "ctrl+q", "app.quit", "Leave")),
    ),
    "hoist": (
        _shown("hoist.inspect", "i", "inspect", "Inspect", "begin an inspection or take up one left open"),
        _shown("hoist.print", "p", "print", "Print", "tag, due sticker, out-of-service tag, chain plate"),
        _shown("hoist.withdraw", "w", "service('withdraw')", "Withdraw", "take it out of service"),
        _shown("hoist.mend", "m", "service('mend')", "Mend", "defects mended"),
        _shown("hoist.chain", "c", "service('chain')", "Chain", "chain, pocket wheel and both guides"),
        _shown("hoist.test", "t", "service('test')", "Test", "load test"),
        _shown("hoist.return", "u", "service('return')", "Return", "return it to service"),
        _quiet("hoist.report", "r", "report", "Report", "inspection, logbook, chain, notice of a defect"),
        _quiet("hoist.hours", "h", "service('hours')", "Running hours", "from the counter or of a period"),
        _quiet("hoist.idle", "l", "service('idle')", "Lay out of use", "standby or stored"),
        _quiet("hoist.expert", "x", "service('expert')", "Expert's conditions", "past the design life"),
        _quiet("hoist.move", "v", "service('move')", "Move", "to another place or site"),
        _quiet("hoist.notice", "n", "service('notice')", "Notice", "who was told of its defects"),
        _quiet("hoist.retire", "z", "service('retire')", "Retire", "for good; its logbook is kept"),
        _quiet("hoist.trend", "d", "draw('trend')", "Wear drawn", "over time, with limit and forecast"),
        _quiet("hoist.along", "o", "draw('along')", "Wear along the chain", "by place, last readings"),
        _quiet("hoist.code", "q", "draw('code')", "Tag on the screen", "its code, to scan from here"),
    ),
    "inspect": (
        _shown("inspect.ok", "o", "answer('OK')", "ok", "looked at and in order"),
        _shown("inspect.defect", "d", "defect", "Defect", "describe it and grade it"),
        _shown("inspect.not_applicable", "n", "answer('NOT_APPLICABLE')", "n/a", "this hoist has none"),
        _shown("inspect.not_seen", "s", "answer('NOT_SEEN')", "Not seen", "could not be looked at; say why"),
        _shown("inspect.note", "t", "note", "Note", "a remark to this item"),
        _shown("inspect.measure", "m", "measure", "Measure", "type figures for this item"),
        _shown("inspect.seal", "f10", "seal", "Seal", "see what will be sealed, and what is open"),
        _quiet("inspect.discard", "f8", "throw_away", "Discard", "throw the draft away, asked twice"),
    ),
    "readings": (
        _first(_shown("readings.done", "f10", "done", "Done", "back to the items; all is kept")),
        _first(_quiet("readings.next", "enter,down", "next", "Next")),
        _first(_quiet("readings.previous", "up", "previous", "Before")),
        _shown("readings.choice", "f3", "choice", "Next choice", "instruments, ways to measure"),
        _shown("readings.more", "f5", "more", "One more place"),
        _shown("readings.explain", "f4", "explain", "Explain", "rule, arithmetic and source of the verdict"),
    ),
    "measure": (
        _first(_shown("measure.done", "f10", "send", "Done", "back to the items; all is kept")),
        _shown("measure.explain", "f4", "explain", "Explain", "rule, arithmetic and source of the verdict"),
    ),
    "seal": (_shown("seal.seal", "f10", "seal", "Seal", "into the logbook, under your name"),),
    "service": (_first(_shown("service.send", "f10", "send", "Seal", "into the logbook, under your name")),),
    "drafted": (_shown("draft.discard", "f8", "throw_away", "Discard", "throw it away, asked twice"),),
    "registration": (
        _first(_shown("registration.send", "f10", "send", "Seal", "write it as the first line")),
    ),
    "entry": (_first(_shown("entry.send", "f10", "send", "Seal", "write it into the shop's records")),),
    "register": (
        _shown("register.new", "n", "new", "New", "add one"),
        _shown(
            "register.trace",
            "v",
            "trace",
            "Readings in doubt",
            "since the last good calibration, or for want of one",
        ),
    ),
    "print": (_first(_shown("print.send", "f10", "send", "Print", "write or print it, and record that")),),
    "spare": (_first(_shown("spare.send", "f10", "send", "Print", "write or print it, and record that")),),
    "listed": (
        _first(_quiet("listed.open", "enter", "open", "Next or open", "next field; what the row stands for")),
    ),
    "print_many": (
        _first(_shown("print_many.send", "f10", "send", "List, print", "lists them first; again prints")),
    ),
    "visit": (_first(_shown("visit.send", "f10", "send", "Write", "the work list as a PDF to the file")),),
    "report": (_first(_shown("report.send", "f10", "send", "Print", "to the file, to the queue, or both")),),
    "figures": (_shown("figures.report", "f10", "report", "Report", "these figures on paper"),),
    "verify": (_shown("verify.again", "r", "again", "Again", "check all from the start"),),
    "line": (
        _shown("line.report", "r", "report", "Report", "this inspection on paper"),
        _shown("line.strike", "f8", "strike", "Strike out", "it stays to be read, but no longer counts"),
    ),
    "strike": (_first(_shown("strike.send", "f10", "send", "Strike out")),),
    "drafts": (
        _shown("drafts.look", "l", "look", "Look", "what it holds, without taking it up"),
        _shown("drafts.discard", "f8", "discard", "Discard", "throw it away, asked twice"),
    ),
}
NO_KEY = ("app.quit", "app.suspend", "page.back")  # never given away: they lead out


def bindings(*scopes: str) -> list[Binding]:
    """The bindings of one or several scopes of the table, for a screen or widget."""
    return [_binding(command) for scope in scopes for command in COMMANDS[scope]]


def _binding(command: Command) -> Binding:
    return Binding(
        command.keys,
        command.action,
        command.title,
        show=command.shown,
        priority=command.priority,
        tooltip=command.help,
        id=command.id,
    )


def anywhere() -> Iterable[Command]:
    """What can be done from every screen, whether or not that screen has a key for it."""
    for commands in COMMANDS.values():
        yield from (command for command in commands if command.action.startswith("app."))


def key_faults(keys: dict[str, str]) -> list[str]:
    """What is wrong with keys given in a settings file, a sentence each; right ones are not named."""
    known = {command.id for commands in COMMANDS.values() for command in commands}
    faults = [
        f"keys: there is no command '{name}'; F1 and F9 show them" for name in keys if name not in known
    ]
    faults += [f"keys: {name} keeps its key, it leads out" for name in keys if name in NO_KEY]
    for scope, commands in COMMANDS.items():
        faults += _clashes((*_around(scope, commands), *commands), keys)
    return list(dict.fromkeys(faults))


def _around(scope: str, commands: tuple[Command, ...]) -> tuple[Command, ...]:
    """The commands of other scopes that work on the same screen."""
    if scope in ("app", "page", "table", "form", "drafted"):
        return () if scope in ("app", "page") else (*COMMANDS["app"], *COMMANDS["page"])
    is_form = any(command.action == "send" for command in commands)
    has_table = scope not in ("readings", "commands") and not is_form
    inside = (*COMMANDS["form"], *COMMANDS["drafted"]) if is_form else COMMANDS["table"] if has_table else ()
    return (*COMMANDS["app"], *COMMANDS["page"], *inside)


def _clashes(together: Iterable[Command], keys: dict[str, str]) -> list[str]:
    """Keys given to two commands that work on one screen; the same deed under two titles is none."""
    held: dict[str, Command] = {}
    faults = []
    for command in together:
        for key in keys.get(command.id, command.keys).split(","):
            other = held.setdefault(key.strip(), command)
            if other.action != command.action and (command.id in keys or other.id in keys):
                faults.append(f"keys: {key.strip()} would be both {other.id} and {command.id}")
    return faults
