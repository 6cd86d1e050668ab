"""Runs the outside checks one after the other and says how many held."""

import argparse
import importlib
import sys
import time
from pathlib import Path

from house import House, Tally

CHECKS = ("facts_jpeg", "facts_tiff", "facts_png", "tiffs", "jpegs", "metadata", "profiles", "others", "broken", "completeness", "geometry", "digests",
          "weird", "measures", "colours", "transforms", "sheets", "handover", "faults", "feed", "processing")


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--program", required=True, type=Path, help="the plateside that is checked")
    parser.add_argument("checks", nargs="*", default=CHECKS, metavar="CHECK", help=f"some of: {' '.join(CHECKS)}")
    options = parser.parse_args()
    passed, faults = 0, []
    for name in options.checks:
        tally, began = Tally(), time.monotonic()
        house = House(options.program.resolve(), tally)
        try:
            importlib.import_module(name).run(house)
        except Exception as error:  # noqa: BLE001 - one check that breaks must not hide the others
            tally.faults.append(f"{name} broke off: {type(error).__name__}: {error}")
        finally:
            house.close()
        print(f"  {name}: {tally.passed} held, {len(tally.faults)} did not, {time.monotonic() - began:.1f} s", flush=True)
        passed += tally.passed
        faults += tally.faults
    for fault in faults:
        print(f"FAILED {fault}")
    print(f"outside checks: {passed} passed, {len(faults)} failed")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
