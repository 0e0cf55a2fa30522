"""Which meshes are measured, at which size, and into which layers they are split."""

from dataclasses import dataclass, field
from pathlib import Path

HERE = Path(__file__).resolve().parent
SAMPLES = HERE.parent.parent / "sample-meshes"
PUBLIC = HERE / "public"
REFERENCE = HERE / "reference.json"

DEBIAN = "Debian package libcgal-demo, data/meshes/"
NPM = "npm package bunny 1.0.1"


@dataclass(frozen=True)
class Opening:
    """How the cavity is opened: by its flat back (auto), not at all (none), or by a level cut."""

    kind: str
    below_lip_mm: float = 0.0


@dataclass(frozen=True)
class Entry:
    """A mesh and what to compute of it. `known` scales it: axis and extent in mm."""

    file: str
    source: str
    openings: tuple
    layers_mm: tuple  # pairs of skin and cap
    mm_per_number: float = 1.0
    known: tuple = field(default=None)

    @property
    def path(self):
        return (SAMPLES if self.source == "sample" else PUBLIC) / self.file


BACK = (Opening("auto"),)
CLOSED = (Opening("none"),)
USUAL = ((2.0, 3.0), (1.0, 3.0), (4.0, 5.0))


def sample(file, openings=BACK, layers_mm=USUAL, mm_per_number=1.0):
    return Entry(file, "sample", openings, layers_mm, mm_per_number)


def public(file, source, axis, extent_mm, below_lip_mm):
    openings = (Opening("none"), Opening("cut", below_lip_mm))
    return Entry(file, source, openings, ((2.0, 3.0), (4.0, 5.0)), known=(axis, extent_mm))


ENTRIES = (
    sample("kidney.stl"),
    sample("fingertip.stl", layers_mm=((2.0, 3.0), (1.0, 1.5), (0.5, 3.0))),
    sample("palm-pad.obj", (Opening("auto"), Opening("none"))),
    sample("pebble.stl", (Opening("auto"), Opening("cut", 6.0))),
    sample("two-lobes.stl"),
    sample("plaque.stl"),
    sample("injection-pad-inch.stl", mm_per_number=25.4),
    sample("heel-leaning.stl"),
    public("femur.stl", DEBIAN + "femur.off", "z", 160.0, 25.0),
    public("hand.stl", DEBIAN + "hand.off", "z", 100.0, 30.0),
    public("elephant.obj", DEBIAN + "elephant.off", "y", 160.0, 35.0),
    public("bear.stl", DEBIAN + "bear.off", "y", 120.0, 10.0),
    public("fandisk.stl", DEBIAN + "fandisk.off", "z", 90.0, 20.0),
    public("knot1.obj", DEBIAN + "knot1.off", "y", 130.0, 15.0),
    public("armadillo.stl", DEBIAN + "armadillo.off", "z", 115.0, 30.0),
    public("bunny.obj", NPM, "z", 90.0, 20.0),
)
