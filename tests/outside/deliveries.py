"""Deliveries of sound pictures, and what is wrong with one that was written: by its checksums, its archive, its records."""

import hashlib
import json
import zipfile

import pictures
from orders import SRGB
from programs import ended
from trials import PATIENCE, environment, ran

BRIEF = '[[print]]\nname = "any"\nsize = "50 x 50 mm"\npictures = "*"\n[print.rules]\n"set.duplicate" = "off"\n'
ODD = ("a b.jpg", "cr\u00eapes.jpg", "two\nlines.jpg", "back\\slash.jpg", "-rf.jpg", "=1+1.jpg", "\u202egnp.jpg")
# A command on a dozen small pictures is done within so long. No source; it takes a fiftieth.
DONE_S = 10


def exports(folder, names, side=600):
    """A brief and sound sRGB pictures, each with other bytes."""
    (folder / "exports").mkdir()
    (folder / "brief.toml").write_text(BRIEF, encoding="utf-8")
    for at, one in enumerate(names):
        pictures.rgb(side, side).rotate(at * 7).save(folder / "exports" / one, format="JPEG", quality=95, icc_profile=SRGB)


def deliver(program, folder, into, *options):
    """How the delivery of a folder's exports ended."""
    return ended(program, "deliver", "brief.toml", "exports", "--into", into, *options, cwd=folder, within_s=120)


def sound_delivery(program, into):
    """What is wrong with a delivery, by its checksums: nothing where it is whole or not there."""
    if not into.exists():
        return []
    sums = into / "SHA256SUMS"
    if not sums.exists():
        return [f"{into.name} has no SHA256SUMS"]
    wrong = []
    for row in sums.read_text(encoding="utf-8").splitlines():
        digest, name = row.split(maxsplit=1)
        path = into / name.lstrip("*")
        if not path.exists() or hashlib.sha256(path.read_bytes()).hexdigest() != digest:
            wrong.append(f"{into.name}/{name} is not what SHA256SUMS says")
    verified = ran([program, "verify", into], into.parent, DONE_S * PATIENCE, env=environment(into.parent))
    return wrong + ([f"verify ends with {verified.status}"] if verified.status != 0 else [])


def sound_archive(program, into):
    """What is wrong with a delivery and its archive."""
    archive = into.with_name(into.name + ".zip")
    if not archive.exists():
        return sound_delivery(program, into)
    try:
        with zipfile.ZipFile(archive) as opened:
            broken, names = opened.testzip(), {name.split("/", 1)[-1] for name in opened.namelist() if not name.endswith("/")}
    except (zipfile.BadZipFile, OSError) as error:
        return [f"{archive.name}: {error}"]
    written = {str(path.relative_to(into)) for path in into.rglob("*") if path.is_file()} if into.exists() else names
    wrong = [f"{archive.name}: {broken} is broken"] if broken else []
    return wrong + ([f"{archive.name} holds other files than the folder: {sorted(written ^ names)[:3]}"] if written != names else []) + sound_delivery(program, into)


def sound_sheets(_program, into):
    """What is wrong with written sheets: every file that their record names is there, and the record can be read."""
    if not into.exists():
        return []
    try:
        record = json.loads((into / "test-sheets.json").read_text(encoding="utf-8"))
    except (OSError, ValueError) as error:
        return [f"{into.name}/test-sheets.json: {error}"]
    named = {value for key, value in strings(record) if key in ("file", "sheet") and isinstance(value, str)}
    missing = [name for name in named if "." in name and not (into / name).exists()]
    return [f"{into.name} lacks {missing}"] if missing or not (into / "NOTE.txt").exists() else []


def strings(value, key=""):
    """All texts of a record with their keys."""
    if isinstance(value, dict):
        for name, one in value.items():
            yield from strings(one, name)
    elif isinstance(value, list):
        for one in value:
            yield from strings(one, key)
    else:
        yield key, value
