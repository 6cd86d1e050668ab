"""What a hostile hand makes of JPEG, TIFF and PNG to cost a reader its time or memory (bombs.py): each by itself gives a
verdict, in bounded time and memory, in words for a person."""

import json
import shutil

import bombs
from programs import ended
from shelf import ANY_PICTURE

# What no person should read.
ALIEN = ("{", "::", "struct ", "Os ", "panicked", "0x")


def test_bombs(program, tmp_path, remark, subtests):
    slowest, largest, brief = (0, ""), (0, ""), tmp_path / "brief.toml"
    brief.write_text(ANY_PICTURE, encoding="utf-8")
    for name, data in bombs.all_of_them():
        place = tmp_path / name
        place.mkdir()
        (place / name).write_bytes(data)
        done = None
        with subtests.test(f"{name} is answered"):
            words = ["/usr/bin/time", "-f", "%U %S %M", program, "check", brief, place, "--format", "json", "--jobs", "1"]
            done = ended(*words, within_s=bombs.LONGEST_S * 20)
            assert done.returncode in (0, 1), done.stderr.decode(errors="replace")[-300:]
        if done is None:
            continue
        user, system, kilobytes = done.stderr.split()[-3:]
        # Time of the processor, so that a busy machine is no fault.
        seconds, megabytes = float(user) + float(system), int(kilobytes) >> 10
        slowest, largest = max(slowest, (seconds, name)), max(largest, (megabytes, name))
        with subtests.test(f"{name}: at most {bombs.LONGEST_S} s"):
            assert seconds <= bombs.LONGEST_S
        with subtests.test(f"{name}: at most {bombs.MOST_MB} MB"):
            assert megabytes <= bombs.MOST_MB
        if done.returncode in (0, 1):
            with subtests.test(f"{name}: in words for a person"):
                whats = " ".join(one["found"] for one in json.loads(done.stdout)["rows"][0]["findings"])
                assert not [word for word in ALIEN if word in whats], whats[:600]
        shutil.rmtree(place)
    remark(f"bombs: the slowest {slowest[0]:.2f} s ({slowest[1]}), the largest {largest[0]} MB ({largest[1]})")
