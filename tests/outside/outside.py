"""Runs the outside checks one after the other and says how many held."""

import argparse
import importlib
import sys
import time
from pathlib import Path

from house import House, Tally
from trials import table

CHECKS = ("facts_jpeg", "facts_tiff", "facts_png", "tiffs", "jpegs", "metadata", "profiles", "others", "broken", "completeness", "geometry", "digests",
          "weird", "measures", "colours", "transforms", "sheets", "handover", "faults", "feed", "processing", "attacks")
# What `attacks` stands for: nothing lost, nothing silent, nothing square.
ATTACKS = ("kills", "together", "keys", "links", "disturbed", "crowds")


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--program", required=True, type=Path, help="the plateside that is checked")
    parser.add_argument("--all", action="store_true", help="the attacks at their full size")
    parser.add_argument("checks", nargs="*", default=CHECKS, metavar="CHECK", help=f"some of: {' '.join(CHECKS)}")
    options = parser.parse_args()
    passed, faults, lines = 0, [], []
    for name in (one for check in options.checks for one in (ATTACKS if check == "attacks" else (check,))):
        tally, began = Tally(), time.monotonic()
        house = House(options.program.resolve(), tally, options.all)
        try:
            importlib.import_module(name).run(house)
        except Exception as error:  # noqa: BLE001 - one check that breaks must not hide the others
            tally.faults.append(f"{name} broke off: {type(error).__name__}: {error}")
        finally:
            house.close()
        print(f"  {name}: {tally.passed} held, {len(tally.faults)} did not, {time.monotonic() - began:.1f} s", flush=True)
        passed += tally.passed
        faults += tally.faults
        lines += tally.trials
    if lines:
        print(table(lines), flush=True)
    for fault in faults:
        print(f"FAILED {fault}")
    print(f"outside checks: {passed} passed, {len(faults)} failed")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
