"""The door of the command line: picks the command, and turns every wrong call into one plain line and exit status 2."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NoReturn

from sim.cli.output import CallRefused, OutputLost, flush_output, give_up_output, print_errors, tolerant
from sim.cli.status import FINE, STOPPED, WRONG
from sim.cli.troubles import telling, told
from sim.version import VERSION
from sim.words import SETS

__all__ = ["main"]

PROGRAM = "frogbench"


class _Parser(argparse.ArgumentParser):
    """A parser that refuses a wrong call in one line."""

    def error(self, message: str) -> NoReturn:
        raise CallRefused(f"{self.prog}: {message}; see {self.prog} --help")


@dataclass(frozen=True)
class _Command:
    """One command: what it does in a few words, its arguments, and what runs it (imported only when it is called)."""

    does: str
    arguments: Callable[[argparse.ArgumentParser], None]
    run: Callable[[argparse.Namespace], int]


def _words_argument(parser: argparse.ArgumentParser) -> None:
    text = "the trade words of its sentences; without it those set up in the window, else international"
    parser.add_argument("--words", choices=list(SETS), help=text)


def _check_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("files", nargs="+", metavar="NAME-OR-FILE", help="the name of a level, or a bench file")
    parser.add_argument("--json", action="store_true", help="print one JSON document and nothing else")
    _words_argument(parser)


def _check(call: argparse.Namespace) -> int:
    from sim.cli.check import check

    return check(call.files, as_json=call.json, asked=call.words)


def _probe_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="NAME-OR-FILE", help="the name of a level, or a bench file")
    parser.add_argument("red", metavar="TERMINAL", help="where the red probe is held, such as T1.frog")
    parser.add_argument("black", metavar="TERMINAL", help="where the black probe is held, such as bus.A")
    parser.add_argument("--mode", choices=["ohms", "volts"], default="ohms", help="what the meter reads (ohms)")
    parser.add_argument("--json", action="store_true", help="print one JSON document and nothing else")
    _words_argument(parser)


def _probe(call: argparse.Namespace) -> int:
    from sim.cli.probe import probe

    return telling(
        call.file,
        lambda: probe(call.file, call.red, call.black, dial=call.mode, as_json=call.json, asked=call.words),
    )


def _force_argument(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--force", action="store_true", help="write over a file that is there already")


def _shot_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="NAME-OR-FILE", help="the name of a level, or a bench file")
    parser.add_argument("out", metavar="OUT.png", help="the picture to write")
    _force_argument(parser)
    _words_argument(parser)


def _shot(call: argparse.Namespace) -> int:
    from sim.cli.shot import shot

    return telling(call.file, lambda: shot(call.file, call.out, force=call.force, asked=call.words))


def _sheet_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="NAME-OR-FILE", help="the name of a level, or a bench file")
    parser.add_argument("-o", dest="out", metavar="OUT.html", required=True, help="the page to write")
    _force_argument(parser)
    _words_argument(parser)


def _sheet(call: argparse.Namespace) -> int:
    from sim.cli.sheet import sheet

    return telling(call.file, lambda: sheet(call.file, call.out, force=call.force, asked=call.words))


def _levels_arguments(parser: argparse.ArgumentParser) -> None:
    _words_argument(parser)


def _levels(call: argparse.Namespace) -> int:
    from sim.cli.levels import levels

    return levels(call.words)


def _play_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("what", metavar="NAME-OR-FILE", help="the name of a level, or a bench file")


def _play(call: argparse.Namespace) -> int:
    from sim.cli.play import play

    return telling(call.what, lambda: play(call.what))


def _open_jobs() -> int:
    from sim.cli.play import open_jobs

    return open_jobs()


COMMANDS: dict[str, _Command] = {
    "play": _Command("open the window on a level or a bench", _play_arguments, _play),
    "check": _Command("test every route, without a window", _check_arguments, _check),
    "probe": _Command("tell what the meter would read between two terminals", _probe_arguments, _probe),
    "sheet": _Command("write the wiring sheet of a bench, to print", _sheet_arguments, _sheet),
    "levels": _Command("list the levels, with your best marks", _levels_arguments, _levels),
    "shot": _Command("draw a bench as a picture, without a screen", _shot_arguments, _shot),
}


def _top_parser() -> _Parser:
    listed = "\n".join(f"  {name:<8} {command.does}" for name, command in COMMANDS.items())
    parser = _Parser(
        prog=PROGRAM,
        allow_abbrev=False,
        usage=f"{PROGRAM} [COMMAND ...]",
        description="Without a command, the window opens at the list of jobs.",
        epilog=f"commands:\n{listed}\n\n{PROGRAM} COMMAND --help tells more about one.",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"{PROGRAM} {VERSION}", help="print the version")
    parser.add_argument("command", nargs="?", choices=list(COMMANDS), help=argparse.SUPPRESS)
    return parser


def _run(arguments: Sequence[str]) -> int:
    call = _top_parser().parse_args(arguments[:1])
    if call.command is None:
        return _open_jobs()
    command = COMMANDS[call.command]
    parser = _Parser(prog=f"{PROGRAM} {call.command}", allow_abbrev=False, description=command.does)
    command.arguments(parser)
    return command.run(parser.parse_intermixed_args(arguments[1:]))


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one call of ``frogbench``; ``arguments`` without the program's name, by default those of the process.

    Returns the exit status: for ``check`` 0 if nothing fails and 1 if something does, for every command 2 if a file or
    the call is wrong. Never shows a traceback.
    """
    # Before numpy is first imported: the matrices here are small, and several threads only wait for each other.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    tolerant(sys.stdout)
    tolerant(sys.stderr)
    try:
        try:
            status = _run(sys.argv[1:] if arguments is None else arguments)
        except SystemExit as done:  # how argparse ends after --help
            status = done.code if isinstance(done.code, int) else FINE
        except CallRefused as refused:
            print_errors(refused.lines)
            status = WRONG
        except KeyboardInterrupt:
            status = STOPPED
        except OutputLost:
            raise
        except Exception as fault:
            print_errors([told(PROGRAM, fault)])
            status = WRONG
        flush_output()
    except OutputLost as lost:
        give_up_output()
        if lost.reason is not None:
            print_errors([f"{PROGRAM}: the output cannot be written: {lost.reason}"])
        status = WRONG
    return status
