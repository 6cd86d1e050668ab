"""SHA-256 of each checked file against coreutils' sha256sum, and size on disk against the file system."""

import pictures
from programs import run
from shelf import ANY_PICTURE


def test_digests(tmp_path, rows, subtests):
    for at, suffix in enumerate(("jpg", "png", "tif") * 4):
        pictures.rgb(40 + at, 30).save(tmp_path / f"picture {at:02} é.{suffix}")
    (tmp_path / "broken.jpg").write_bytes((tmp_path / "picture 00 é.jpg").read_bytes()[:300])
    found = rows(ANY_PICTURE, tmp_path)
    listing = run("sha256sum", "--", *sorted(found), cwd=tmp_path).decode()
    for line in listing.splitlines():
        digest, name = line.split("  ", 1)
        row = found[name]
        if name == "broken.jpg":
            # A file that cannot be read to its end may go without a digest, but never with a wrong one.
            with subtests.test("digest of a broken file"):
                assert row["sha256"] in (None, digest)
            continue
        with subtests.test(f"sha256 of {name}"):
            assert row["sha256"] == digest
        with subtests.test(f"bytes of {name}"):
            assert row["facts"]["bytes"] == (tmp_path / name).stat().st_size
