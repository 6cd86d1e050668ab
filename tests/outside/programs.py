"""Programs that a check calls: other makers' and plateside. Each call has a deadline; a hang is a failure, not a wait."""

import shutil
import subprocess

# Longest that one call may take, in seconds. No source: a whole folder of the slowest build takes a third.
LONGEST_S = 600


def ended(*words, within_s=LONGEST_S, **options):
    """How a program ended, whatever its status, with all that it said."""
    return subprocess.run([str(word) for word in words], capture_output=True, timeout=within_s, check=False, **options)


def run(*words, status=(0,), **options):
    """What a program wrote to standard output. One that ends with another status ends the test."""
    done = ended(*words, **options)
    if done.returncode not in status:
        said = done.stderr if isinstance(done.stderr, str) else done.stderr.decode(errors="replace")
        raise RuntimeError(f"{' '.join(map(str, words[:6]))} ended with {done.returncode}: {said.strip()[-600:]}")
    return done.stdout


def convert(*words):
    """ImageMagick, by whichever name it is installed."""
    tool = next(name for name in ("magick", "convert-im6.q16", "convert") if shutil.which(name))
    return run(tool, *words)
