"""SHA-256 of each checked file against coreutils' sha256sum, and size on disk against the file system."""

import pictures
from house import ANY_PICTURE, disk_bytes


def run(house):
    folder = house.folder("digests")
    for at, suffix in enumerate(("jpg", "png", "tif") * 4):
        pictures.rgb(40 + at, 30).save(folder / f"picture {at:02} é.{suffix}")
    (folder / "broken.jpg").write_bytes((folder / "picture 00 é.jpg").read_bytes()[:300])
    rows = house.rows(ANY_PICTURE, folder)
    listing = house.run("sha256sum", "--", *sorted(rows), cwd=folder).decode()
    for line in listing.splitlines():
        digest, name = line.split("  ", 1)
        row = rows[name]
        if name == "broken.jpg":
            # A file that cannot be read to its end may go without a digest, but never with a wrong one.
            house.tally.that("digest of a broken file", row["sha256"] in (None, digest), f"{row['sha256']}")
            continue
        house.tally.equal(f"sha256 of {name}", digest, row["sha256"])
        house.tally.equal(f"bytes of {name}", disk_bytes(folder / name), row["facts"]["bytes"])
