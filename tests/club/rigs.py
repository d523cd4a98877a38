"""Folders of small rigs for the tests of the batch."""

from pathlib import Path

EXAMPLES = Path(__file__).parents[2] / "specs_examples"
#: Two tickets and a few limits: some checks within, some without their limit. The load of the rear axle is the second figure.
SMALL = """\
rig: 1
name: {name}
owner: {owner}
places: [us]
tow_vehicle: {{gvwr: 7050 lb, gcwr: 15000 lb, axles: {{rear: {{gawr: 3800 lb}}}}}}
coupling: {{kind: weight_carrying}}
trailer: {{gvwr: 6000 lb}}
weighings:
  - {{state: alone, front: 3180 lb, rear: 2760 lb, increment: 20 lb}}
  - {{state: coupled, front: 2880 lb, rear: {rear} lb, trailer_axles: 5120 lb, increment: 20 lb}}
date: 2026-07-04
"""


def small(name, rear=3780, owner="member 1"):
    """The text of a small rig; a rear axle over 3800 lb is over its limit."""
    return SMALL.format(name=name, rear=rear, owner=owner)


def folder(top, count, over=()):
    """A folder of ``count`` small rigs under ``top``; those whose number is in ``over`` are over a limit."""
    for i in range(count):
        path = top / f"{i % 3}" / f"rig-{i:04}.yaml"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(small(f"Rig {i}", 3900 if i in over else 3700, f"member {i}"), "utf-8")
    return top


def contents(top):
    """Every file under a folder, with its bytes."""
    return {path.relative_to(top).as_posix(): path.read_bytes() for path in sorted(top.rglob("*")) if path.is_file()}
