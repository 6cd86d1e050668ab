"""What the outside checks share: the program under test, one check and one look of it, folders, and the lines that are told at the end."""

import json
import tempfile
from contextlib import contextmanager
from pathlib import Path

import pytest

from photographs import photographs as every_photograph
from programs import run
from trials import Trials, table

# Its asserts say what they found, as those of tests do.
pytest.register_assert_rewrite("shelf")
from shelf import Shelf  # noqa: E402

# Markers of tests that take minutes to begin, or need what not every machine has: they run only where `-m` names them.
ONLY_WHEN_NAMED = ("browser", "guided")
LINES, REMARKS = pytest.StashKey[list](), pytest.StashKey[list]()


def pytest_addoption(parser):
    group = parser.getgroup("plateside")
    group.addoption("--program", type=Path, help="the plateside that is checked; its examples lie beside it")
    group.addoption("--full-size", action="store_true", help="the attacks at their full size")
    group.addoption("--feed-seconds", type=float, help="how long each target is fed hostile bytes (3 s, in the guided fuzzer 10 s)")
    group.addoption("--feed-seed", type=int, default=26, help="where the hostile bytes begin")
    group.addoption("--write-table", action="store_true", help="write src/report/tried.tsv anew from what processing counts")


def pytest_configure(config):
    config.stash[LINES], config.stash[REMARKS] = [], []
    program = config.option.program
    if program is None or not program.is_file():
        raise pytest.UsageError(f"--program: there is no {program}; run cargo build first")


def pytest_collection_modifyitems(config, items):
    unasked = [one for one in ONLY_WHEN_NAMED if one not in config.option.markexpr]
    left = [item for item in items if any(item.get_closest_marker(one) for one in unasked)]
    if left:
        config.hook.pytest_deselected(items=left)
        items[:] = [item for item in items if item not in left]


@pytest.hookimpl(tryfirst=True)
def pytest_report_teststatus(report):
    """Single checks that hold are counted in the last line, and have no letter each."""
    if isinstance(report, pytest.SubtestReport) and report.passed:
        return "subtests passed", "", ""
    return None


def pytest_terminal_summary(terminalreporter, config):
    for remark in config.stash[REMARKS]:
        terminalreporter.write_line(remark)
    if config.stash[LINES]:
        terminalreporter.write_line(table(config.stash[LINES]))


@pytest.fixture(scope="session")
def program(pytestconfig):
    return pytestconfig.option.program.resolve()


@pytest.fixture(scope="session")
def example(program):
    """The path of an example of the same build; `cargo test` and `cargo build --examples` build them."""

    def built(name):
        path = program.parent / "examples" / name
        assert path.exists(), f"{path} is not built (cargo build --examples)"
        return path

    return built


@pytest.fixture(scope="session")
def full_size(pytestconfig):
    """Whether the long run's sizes are asked for."""
    return pytestconfig.option.full_size


@pytest.fixture(scope="session")
def check(program, tmp_path_factory):
    """`plateside check --format json`: the whole object. Statuses 0 and 1 are verdicts, 2 is a failure."""

    def checked(brief, pictures, *options):
        pictures = pictures if isinstance(pictures, list) else [pictures]
        place = tmp_path_factory.mktemp("brief") / "brief.toml"
        place.write_text(brief, encoding="utf-8")
        return json.loads(run(program, "check", place, *pictures, "--format", "json", *options, status=(0, 1)))

    return checked


@pytest.fixture(scope="session")
def rows(check):
    """The rows of a check by their pictures."""
    return lambda brief, pictures: {row["picture"]: row for row in check(brief, pictures)["rows"]}


@pytest.fixture(scope="session")
def look(program):
    """`plateside look --format json`: what is counted of each picture, by its name."""

    def looked(paths, status=(0,)):
        said = json.loads(run(program, "look", "--format", "json", *paths, status=status) or "[]")
        return {one["picture"].rsplit("/", 1)[-1]: one for one in said}

    return looked


@pytest.fixture
def shelf(tmp_path, rows):
    """An empty shelf of this test."""
    return Shelf(tmp_path, rows)


@pytest.fixture(scope="module")
def photographs():
    return every_photograph()


@pytest.fixture
def open_folder():
    """A folder that everybody may enter, which pytest's own are not: for what is done as somebody else."""
    with tempfile.TemporaryDirectory(prefix="plateside-outside-") as path:
        Path(path).chmod(0o755)
        yield Path(path)


@pytest.fixture(scope="session")
def remark(pytestconfig):
    """Tells a line at the end, whatever comes of the test."""
    return pytestconfig.stash[REMARKS].append


@pytest.fixture
def trials(pytestconfig):
    """A line of the table of trials, which fails once all of it is tried."""

    @contextmanager
    def counted(name):
        line = Trials(name)
        pytestconfig.stash[LINES].append(line)
        try:
            yield line
        except Exception as error:
            error.add_note(f"{name} broke off: {line.summary()}")
            raise
        if not line.tried or line.faults:
            pytest.fail(line.summary(), pytrace=False)

    return counted
