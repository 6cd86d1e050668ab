"""A folder of files with the truth about each, compared with one check of them all.

The truth is always said from the maker's side: what the encoder was told to write, or what arithmetic says. Nothing
here reads plateside's source.
"""

from functools import cached_property

from truths import Has, Part

# A brief that takes every picture of a folder and asks nothing of its size, so that a small sound picture is no FIX.
ANY_PICTURE = """
[rules]
"density.minimum" = "off"
"density.target" = "off"
"size.aspect" = "off"
"colour.profile" = "off"
"file.format" = "off"
[[print]]
name = "any"
size = "8 x 10 in"
pictures = "*"
"""


class Shelf:
    """`path` is an empty folder; `ask` gives the rows of a check by their pictures, as the fixture `rows` does."""

    def __init__(self, path, ask):
        self.path, self.ask, self.truths = path, ask, []

    def __truediv__(self, name):
        return self.path / name

    def holds(self, name, source, state=None, finding=None, **facts):
        """Says what a file holds. `state` and `finding` (rule, words of its `what`) where the row is meant."""
        self.truths.append((name, source, state, finding, facts))

    @cached_property
    def rows(self):
        """The rows of one check of all files, by their pictures."""
        return self.ask(ANY_PICTURE, self.path)

    def compare(self, subtests):
        """Compares each truth with its row; each is a check of its own, so that none hides another."""
        for name, source, state, finding, facts in self.truths:
            about, row = f"{name} ({source})", self.rows.get(name)
            with subtests.test(f"{about} is a row"):
                assert row is not None, f"rows are {sorted(map(str, self.rows))[:5]}..."
            if row is None:
                continue
            if state is not None:
                with subtests.test(f"{about}: state"):
                    assert row["state"] == state
            if finding is not None:
                rule, word = finding
                with subtests.test(f"{about}: finding {rule}"):
                    assert Has(word) in said(row, rule)
            if facts:
                with subtests.test(f"{about}: facts"):
                    assert row["facts"] is not None, f"none; {[one['what'] for one in row['findings']]}"
                    found = row["facts"]
                    assert not [f"{key}: the maker says {value!r}, plateside {found.get(key)!r}" for key, value in facts.items() if found.get(key) != Part(value)]


def said(row, rule):
    """What a row's findings of a rule say."""
    return [one["found"] for one in row["findings"] if one["rule"] == rule]
