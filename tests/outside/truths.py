"""What a maker says of a file, to be compared with `==`: parts of objects and of texts. Numbers are compared with pytest's `approx`."""

import pytest


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


class Part:
    """An object of which only these keys are spoken of, at every depth; true and false are no numbers."""

    def __init__(self, wanted):
        self.wanted = wanted

    def __eq__(self, other):
        return same(self.wanted, other)

    def __repr__(self):
        return repr(self.wanted)


def same(wanted, found):
    """Whether what was found is what is wanted: objects by the keys that are wanted."""
    if isinstance(wanted, dict):
        return isinstance(found, dict) and all(same(value, found.get(key)) for key, value in wanted.items())
    if isinstance(wanted, (list, tuple)):
        return isinstance(found, list) and len(wanted) == len(found) and all(same(one, other) for one, other in zip(wanted, found))
    return wanted == found and isinstance(wanted, bool) == isinstance(found, bool)


def near(value, tolerance):
    """A number within a tolerance."""
    return pytest.approx(value, rel=0, abs=tolerance)
