"""``python -m tests.golden [NAME…]``: take the golden pictures again, of all moments or of those named."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence

from PIL import Image

from tests.game.comparable import comparable
from tests.game.golden import FOLDER, blocks, file_of
from tests.game.played import MOMENTS, golden_views

__all__ = ["main"]


def main(arguments: Sequence[str] | None = None) -> int:
    """Take them; `arguments` without the program's name."""
    parser = argparse.ArgumentParser(prog="python -m tests.golden", description=__doc__)
    parser.add_argument("names", metavar="NAME", nargs="*", help=", ".join(moment.name for moment in MOMENTS))
    names = set(parser.parse_args(arguments).names)
    if unknown := names - {moment.name for moment in MOMENTS}:
        parser.error(f"no such moment: {', '.join(sorted(unknown))}")
    FOLDER.mkdir(exist_ok=True)
    with comparable():
        for view in golden_views():
            if not names or view.moment.name in names:
                Image.fromarray(blocks(view.picture()).transpose(1, 0, 2)).save(file_of(view), optimize=True)
                print(file_of(view).name, flush=True)
    wanted = {file_of(view) for view in golden_views()}
    for path in FOLDER.glob("*.png"):
        if path not in wanted:
            path.unlink()
    return 0


if __name__ == "__main__":
    sys.exit(main())
