"""What every outside check needs: other makers' programs, a folder of files with the truth about each, one call of
`plateside check`, and a count.

The truth is always said from the maker's side: what the encoder was told to write, or what arithmetic says. Nothing
here reads plateside's source.
"""

import json
import os
import shutil
import subprocess
import tempfile
from pathlib import Path

# A brief that takes every picture of a folder and asks nothing of its size, so that a small sound picture is no FIX.
ANY_PICTURE = """
[rules]
"density.least" = "off"
"density.wanted" = "off"
"size.shape" = "off"
"colour.profile" = "off"
"file.format" = "off"
[[print]]
name = "any"
size = "8 x 10 in"
pictures = "*"
"""
# Longest that one call may take, in seconds; a hang is a failure, not a wait.
LONGEST_S = 600


class Near:
    """A number within a tolerance."""

    def __init__(self, value, tolerance):
        self.value, self.tolerance = value, tolerance

    def __eq__(self, other):
        return isinstance(other, (int, float)) and abs(other - self.value) <= self.tolerance

    def __repr__(self):
        return f"{self.value} +- {self.tolerance}"


class Between:
    """A number from the least to the most that it may be."""

    def __init__(self, least, most):
        self.least, self.most = least, most

    def __eq__(self, other):
        return isinstance(other, (int, float)) and self.least <= other <= self.most

    def __repr__(self):
        return f"{self.least} to {self.most}"


class Starts:
    """A text that begins so."""

    def __init__(self, text):
        self.text = text

    def __eq__(self, other):
        return isinstance(other, str) and other.startswith(self.text)

    def __repr__(self):
        return f"{self.text!r}..."


class Has:
    """A text that holds a word, whatever its case."""

    def __init__(self, word):
        self.word = word

    def __eq__(self, other):
        return isinstance(other, str) and self.word.lower() in other.lower()

    def __repr__(self):
        return f"...{self.word!r}..."


def near_all(values, tolerance):
    return [Near(value, tolerance) for value in values]


def same(wanted, found):
    """Whether what was found is what the maker said: dictionaries by the keys that the maker speaks of."""
    if isinstance(wanted, dict):
        return isinstance(found, dict) and all(same(value, found.get(key)) for key, value in wanted.items())
    if isinstance(wanted, (list, tuple)):
        return (
            isinstance(found, list)
            and len(wanted) == len(found)
            and all(same(one, other) for one, other in zip(wanted, found))
        )
    return wanted == found and isinstance(wanted, bool) == isinstance(found, bool)


class Tally:
    """Counts what held and collects what did not."""

    def __init__(self):
        self.passed, self.faults, self.trials = 0, [], []

    def that(self, name, holds, otherwise=""):
        if holds:
            self.passed += 1
        else:
            self.faults.append(f"{name}: {otherwise}" if otherwise else name)
        return holds

    def equal(self, name, wanted, found):
        return self.that(name, same(wanted, found), f"the maker says {wanted!r}, plateside {found!r}")


class House:
    """The program under test, the other makers, and a room for files. `full`: the long run's sizes are asked for."""

    def __init__(self, program, tally, full=False):
        self.program, self.tally, self.full = program, tally, full
        self.room = Path(tempfile.mkdtemp(prefix="plateside-outside-"))

    def close(self):
        shutil.rmtree(self.room, ignore_errors=True)

    def folder(self, name):
        path = self.room / name
        path.mkdir(parents=True)
        return path

    def run(self, *arguments, status=(0,), **options):
        """Runs a maker's program; its failure is ours."""
        words = [str(word) for word in arguments]
        done = subprocess.run(words, capture_output=True, timeout=LONGEST_S, check=False, **options)
        if done.returncode not in status:
            said = done.stderr.decode(errors="replace").strip()[-600:]
            raise RuntimeError(f"{' '.join(words[:6])} ended with {done.returncode}: {said}")
        return done.stdout

    def convert(self, *arguments):
        """ImageMagick, by whichever name it is installed."""
        tool = next(name for name in ("magick", "convert-im6.q16", "convert") if shutil.which(name))
        return self.run(tool, *arguments)

    def check(self, brief, pictures, *options):
        """`plateside check --format json`: the whole object. Statuses 0 and 1 are verdicts, 2 is a failure."""
        pictures = pictures if isinstance(pictures, list) else [pictures]
        place = Path(tempfile.mkdtemp(dir=self.room))
        (place / "brief.toml").write_text(brief, encoding="utf-8")
        out = self.run(self.program, "check", place / "brief.toml", *pictures, "--format", "json", *options, status=(0, 1))
        return json.loads(out)

    def rows(self, brief, pictures):
        """The rows of a check by their picture."""
        return {row["picture"]: row for row in self.check(brief, pictures)["rows"]}


class Shelf:
    """A folder of files, each with the truth about it; read back with one check."""

    def __init__(self, house, name):
        self.house, self.name, self.path = house, name, house.folder(name)
        self.truths = []

    def __truediv__(self, name):
        return self.path / name

    def holds(self, name, source, state=None, finding=None, **facts):
        """Says what a file holds. `state` and `finding` (rule, words of its `what`) where the row is meant."""
        self.truths.append((name, source, state, finding, facts))

    def ask(self):
        """Compares the truths with one check; its rows by their picture."""
        rows = self.house.rows(ANY_PICTURE, self.path)
        tally = self.house.tally
        for name, source, state, finding, facts in self.truths:
            about = f"{self.name}/{name} ({source})"
            row = rows.get(name)
            if not tally.that(f"{about} is a row", row is not None, f"rows are {sorted(map(str, rows))[:5]}..."):
                continue
            if state is not None:
                tally.equal(f"{about} state", state, row["state"])
            if finding is not None:
                rule, word = finding
                whats = [one["what"] for one in row["findings"] if one["rule"] == rule]
                tally.that(f"{about} finding {rule}", any(Has(word) == what for what in whats), f"{word!r} not in {whats}")
            if facts:
                said = row["facts"]
                if said is None:
                    whats = [one["what"] for one in row["findings"]]
                    tally.that(f"{about} has facts", False, f"none; {whats}")
                else:
                    tally.equal(about, facts, {key: said.get(key) for key in facts})
        return rows


def disk_bytes(path):
    return os.stat(path).st_size
