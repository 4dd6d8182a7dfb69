"""Makes a frozen record: two keepers' folders, the files that went between them and a drop, by a program of the format
that is to be frozen. Run once for each format, with that format's program; what it wrote is never made again.

    python3 make.py PROGRAM FOLDER      (made under /frozen, since a drop keeps where it lies)

Car, people and workshop are invented. It never reads the program's own files.
"""

import json
import pathlib
import shutil
import struct
import subprocess
import sys
import urllib.request
import zlib

PROGRAM, INTO = sys.argv[1], pathlib.Path(sys.argv[2]).resolve()
WORDS = "tallow ferrule gasket lantern mitre quarry"


def run(at, *words, given=None, code=0):
    ran = subprocess.run(
        [PROGRAM, "--json", "--at", str(INTO / at), *words], input=given, capture_output=True, text=True, check=False
    )
    assert ran.returncode == code, (words, ran.stdout, ran.stderr)
    return json.loads(ran.stdout or ran.stderr)


def call(at, command, /, **args):
    return run(at, "call", command, json.dumps(args))


def photograph(at, width, height, shade):
    """Hands a photo in by the pages' own way: a grey picture as PNG, made without a library. Answers its hash."""

    def chunk(kind, body):
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    rows = b"".join(b"\0" + bytes((shade + x * y) % 256 for x in range(width)) for y in range(height))
    size = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    png = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", size) + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b"")
    with subprocess.Popen([PROGRAM, "--json", "--at", str(INTO / at), "serve"], stdout=subprocess.PIPE, text=True) as pages:
        said = json.loads(pages.stdout.readline())
        request = urllib.request.Request(
            f"http://127.0.0.1:{said['port']}/photo", data=png, headers={"x-witnessmark-token": said["token"]}
        )
        with urllib.request.urlopen(request) as answer:
            hash_of_it = json.load(answer)["reply"]["hash"]
        pages.kill()
    return hash_of_it


def many(at, count):
    """So many notes in one run of the program, so that a snapshot is made."""
    lines = [{"name": "note", "args": {"day": f"2031-05-{i % 28 + 1:02}", "text": f"Strake {i}."}} for i in range(count)]
    with subprocess.Popen([PROGRAM, "--at", str(INTO / at), "call", "-"], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as asked:
        for line in lines:
            asked.stdin.write(json.dumps(line) + "\n")
            asked.stdin.flush()
            assert "reply" in asked.stdout.readline()
        asked.stdin.close()


def meet(one, other, name, *how):
    for giver, taker, way in [(one, other, "a"), (other, one, "b")]:
        file = str(INTO / f"{name}-{way}.carry")
        run(giver, "carry", "out", file, *how)
        run(taker, "carry", "in", file, "--welcome")


INTO.mkdir(parents=True)
R, W = "rosalind", "wilf"
run(R, "start", "--keeper", "Rosalind", "--car", "Tern", "--device", "Rosalind's laptop")
call(R, "change_car", id="car", fields={"make": "Alder & Finch", "model": "Tern 9", "year": 1934, "engine_number": "AF 4417"})
engine = call(R, "add_assembly", name="Engine")["id"]
head = call(R, "add_assembly", name="Cylinder head", parent=engine, state="off")["id"]
gearbox = call(R, "add_assembly", name="Gearbox")["id"]
bag = call(R, "add_container", code="B1", name="Tobacco tin", place="Shelf over the vice")["id"]
gasket = call(R, "add_part", name="Head gasket", assembly=head, decision="replace", use_once=True)["id"]
valve = call(R, "add_part", name="Exhaust valve", assembly=head, position="cylinder 2", container=bag, quantity=1)["id"]
ring = call(R, "add_part", name="Top ring", assembly=engine, position="cylinder 1")["id"]
seen = call(R, "add_finding", about=f"part:{valve}", what="Burnt across the seat", how_bad="mend", on="2031-02-27")["id"]
lap = call(R, "add_job", what="Lap the valves in", assembly=head, part=valve, minutes=90, tools="suction stick")["id"]
call(R, "add_try", job=lap, what="Coarse paste, ten minutes", came_of_it="A grey ring, not all round", on="2031-02-28")
hold = call(R, "add_hold_point", what="Count the collets", assembly=head, how="counted")["id"]
gauge = call(R, "add_instrument", name="Feeler gauges", resolution="0.01 mm", uncertainty="0.02 mm")["id"]
limit = call(
    R, "add_limit", what="Ring gap, in the bore", about=f"assembly:{engine}", low="0.30 mm", high="0.50 mm", if_low="file",
    book="Workshop manual", edition="2nd", page="C9",
)["id"]
gap = call(
    R, "add_reading", what="Ring gap", about=f"part:{ring}", value="0.21 mm", instrument=gauge, limit=limit, on="2031-03-01",
)["id"]
call(R, "keep_answer", calculation="displacement", inputs={"bore": "57 mm", "stroke": "90 mm", "cylinders": "4"},
     about=f"assembly:{engine}", on="2031-03-01")
order = call(R, "add_order", what="Head gasket, copper", part=gasket, state="asked", price="38.50 EUR")["id"]
call(R, "note", day="2031-02-27", text="Head off; two studs came with their nuts.")
call(R, "note", day="2031-03-01", text="Kerbside light again: the lamp is dim, and so are we.\nRing gaps next.")
call(R, "put_hours", day="2031-03-01", hours="2.5")

whole = str(INTO / "whole.carry")
run(R, "carry", "out", whole, "--passphrase", "-", given=WORDS + "\n")
run(W, "join", whole, "--keeper", "Wilf", "--device", "Wilf's phone", "--passphrase", "-", given=WORDS + "\n")
meet(W, R, "first")

# Apart: one value each, one settled; an assembly closed over a job; two orders; two bags of one code; struck and used.
run_of = call(R, "add_tightening_run", what="Gearbox lid", assembly=gearbox, layout="circle", bolts=4, torque="20 N·m",
              conditions="threads dry", on="2031-03-02")["id"]
call(R, "tighten", **{"run": run_of, "pass": 1, "place": 1, "on": "2031-03-02"})
call(R, "change_part", id=valve, fields={"position": "cylinder 3"})
call(W, "change_part", id=valve, fields={"position": "cylinder 4"})
call(R, "change_part", id=ring, fields={"way_round": "mark up"})
call(W, "change_part", id=ring, fields={"way_round": "mark down"})
call(R, "add_order", what="Valve, exhaust", part=valve, state="ordered")
call(W, "add_order", what="Exhaust valve", part=valve, state="asked")
call(R, "add_container", code="B2", name="Blue bag")
call(W, "add_container", code="B2", name="Jam jar")
call(W, "add_job", what="Ease the selector shaft", assembly=gearbox)
call(W, "note", day="2031-03-02", text="The selector shaft binds; see the job.")
call(W, "note", day="2031-04-06", text="A new month, and the first primrose by the door.")
call(W, "strike", name=f"order:{order}", why="A friend has one")
call(R, "change_order", id=order, fields={"state": "in"})
meet(R, W, "second")
for point in call(R, "points")[:2]:
    choice = point["choices"][0]["key"]
    try:
        call(R, "settle", point=point["id"], choice=choice)
    except AssertionError:
        call(R, "settle", point=point["id"], choice=choice, why="As found")
shot = photograph(R, 64, 48, 7)
call(R, "add_photo", hash=shot, caption="Before it came off", about=f"assembly:{head}", stage="before", on="2031-03-02")
meet(R, W, "third", "--open")

# A third device of Rosalind's, which is lost; what it wrote later was set aside at Wilf's.
L = "lost"
run(R, "carry", "out", str(INTO / "for-lost.carry"), "--passphrase", "-", given=WORDS + "\n")
run(L, "join", str(INTO / "for-lost.carry"), "--keeper", "Rosalind", "--device", "Old tablet", "--passphrase", "-", given=WORDS + "\n")
run(L, "carry", "out", str(INTO / "lost-first.carry"), "--open")
for taker in [R, W]:
    run(taker, "carry", "in", str(INTO / "lost-first.carry"), "--welcome")
run(R, "revoke", "Old tablet", "--why", "Left on the ferry")
call(L, "note", day="2031-04-07", text="Written by whoever found the tablet.")
meet(R, W, "fourth")
run(L, "carry", "out", str(INTO / "lost-later.carry"), "--open")
aside = subprocess.run([PROGRAM, "--json", "--at", str(INTO / W), "carry", "in", str(INTO / "lost-later.carry")],
                       capture_output=True, text=True, check=False)
assert json.loads(aside.stdout)["aside"] > 0, aside

# A stick that both looked at, and a sealed file that nobody took in yet.
(INTO / "stick").mkdir()
for at in [R, W]:
    run(at, "drop", "folder", str(INTO / "stick"))
for at in [R, W, R]:
    run(at, "drop", "look")
call(W, "note", day="2031-04-08", text="On its way in a sealed file.")
run(W, "carry", "out", str(INTO / "on-its-way.carry"))
call(R, "note", day="2031-04-09", text="Put on the stick, not read yet.")
run(R, "drop", "look")

# Long enough for a snapshot.
LONG = "long"
run(LONG, "start", "--keeper", "Rosalind", "--car", "Plover", "--device", "Rosalind's laptop")
many(LONG, 2100)

told = {}
for at in [R, W, LONG]:
    told[at] = {"digest": run(at, "digest"), "points": call(at, "points"), "aside": call(at, "aside"),
                "members": call(at, "members"), "check": run(at, "check")}
(INTO / "told.json").write_text(json.dumps(told, indent=1, sort_keys=True, ensure_ascii=False) + "\n")

# What the test takes in: one file sealed to a passphrase, one open, one set aside, one sealed to the members.
KEPT = {"whole.carry", "third-a.carry", "lost-later.carry", "on-its-way.carry", "told.json"}
for file in INTO.iterdir():
    if file.is_file() and file.name not in KEPT:
        file.unlink()
shutil.rmtree(INTO / L)
for lock in INTO.rglob("*.lock"):
    lock.unlink()
