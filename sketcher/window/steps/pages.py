"""Pages to read: the keys, and the measure list."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape

from scenes.model import Scene
from sketcher.window.steps.commands import GROUPS


@dataclass(frozen=True, slots=True)
class Measure:
    """One thing to measure on the car."""

    what: str
    how: str
    tool: str


CAUTIONS = """\
A spring under load can kill. Use a proper spring compressor, follow its maker's instructions, \
and never stand in line with the spring.
Never work under a car that stands on a jack alone: axle stands, on firm level ground, wheels \
chocked.
Before anything is cut: try the length on the car with a dummy shaft, spring out, through all \
of bump, droop and lock.
""".splitlines()
FRAME = """\
Car on its wheels at ride height, tyres at road pressure, on a floor that a level calls level. \
Snap a chalk line on the floor under the car's centreline, and hang a plumb line that stays \
where it is: out is taken from the chalk line, up from the floor, fore from the plumb line, \
forward is plus. Drop every point to the floor with a plumb bob and mark it.\
"""
_STRUT = (
    Measure("arm pivot", "Middle of the inner bush's bolt. Front and rear bush differ in height: "
            "take both, use the middle.", "plumb bob, tape from the floor"),
    Measure("ball joint", "Centre of the ball, not of its stud's nut: half a ball below the top "
            "of its housing.", "plumb bob, calliper for the ball"),
    Measure("strut top", "Centre of the top mount's bearing, from under the bonnet; take the "
            "mount's thickness off.", "tape down to the floor past the wing, straightedge"),
    Measure("strut lower", "Any point low on the tube, in the middle of its diameter. The line "
            "from here to the strut top is the axis it slides along.", "straightedge, square"),
)  # fmt: skip
_WISHBONES = (
    Measure("lower and upper pivot", "Middle of the inner bush's bolt; front and rear bush "
            "averaged.", "plumb bob, tape from the floor"),
    Measure("lower and upper ball joint", "Centre of the ball, not of its nut.",
            "plumb bob, calliper for the ball"),
)  # fmt: skip
_MEASURED = (
    Measure("outer joint at several travels", "No linkage is needed: jack the hub to droop, ride "
            "height, bump and two places between, steering straight, spring out. At each, the "
            "wheel centre's rise from ride height and the outer joint's place.",
            "jack under the hub, axle stands, plumb bob, tape"),
    Measure("wheel centre at the same travels", "Hub face, in the middle, at each of them: it "
            "tells how the hub leans. At every travel or at none.", "plumb bob, straightedge"),
)  # fmt: skip
_LINKAGES = {"strut": _STRUT, "wishbones": _WISHBONES, "measured": _MEASURED}
_COMMON = (
    Measure("outer joint", "Where the plane of its balls meets the hub axis: measure from the hub "
            "face inwards on the joint off the car, then from the face to the chalk line.",
            "calliper, straightedge across the hub face"),
    Measure("wheel centre", "Hub face, in the middle; its height above the floor.",
            "tape, straightedge"),
    Measure("inner joint, mid-stroke", "Push the joint in until it bottoms and mark the shaft, "
            "pull until it stops and mark again: half way is mid-stroke. Then its place from "
            "chalk line, floor and plumb line.", "calliper, scriber, tape"),
    Measure("stroke in and out", "From mid-stroke to both marks, straight, and again bent to "
            "10°, 15° and 20°: the stroke shrinks as the joint bends.",
            "calliper, protractor"),
    Measure("largest angles", "The joint's own limit, from its maker or bent by hand on the bench "
            "until it touches, less 2°.", "protractor"),
    Measure("bump and droop", "From ride height to the bump stop fully pressed, and to the damper "
            "fully out. Spring out: jack under the arm, car on stands.",
            "tape, spring compressor, axle stands"),
    Measure("locks", "Wheel angle at both locks, for the inside and the outside wheel.",
            "turn plates, or a board and a protractor"),
    Measure("gearbox movement", "How far the outputs move on their mounts when levered both ways.",
            "pry bar, tape; mind fingers"),
    Measure("brackets", "Corners of everything within two hands' width of the shaft.",
            "tape, cardboard template"),
)  # fmt: skip


def measure_list(scene: Scene) -> tuple[Measure, ...]:
    """What to measure for the scene's kind of linkage, in the order of the work."""
    return _LINKAGES[scene.linkage.kind] + _COMMON


def measure_page(scene: Scene) -> str:
    """The measure list as a page."""
    lines = [f"<b>Mind</b><br>{'<br>'.join(escape(line) for line in CAUTIONS)}<br>"]
    lines.append(f"<br><b>Where from</b><br>{escape(FRAME)}<br>")
    for number, item in enumerate(measure_list(scene), 1):
        lines.append(
            f"<br><b>{number}. {escape(item.what)}</b><br>{escape(item.how)}<br>"
            f"With: {escape(item.tool)}.<br>"
        )
    return "".join(lines)


MOUSE = (
    ("drag a point", "moves it; the linkage follows"),
    ("drag the wheel", "front view: travel; from above: steering"),
    ("drag in the plots", "moves the wheel to that travel"),
    ("drag the length mark", "in the bar on top: makes the shaft longer or shorter"),
    ("drag the paper", "or the middle button anywhere, or space: pushes the view"),
    ("wheel of the mouse", "zooms about the pointer"),
    ("double click on an edge", "puts a corner into a bracket there"),
    ("hold Shift", "keeps right angles while a bracket is drawn or dragged"),
    ("hold Ctrl", "catches corners and measured points nearby"),
)


def keys_page() -> str:
    """All keys as a page."""
    lines = ["<b>Pointer</b><br>"]
    lines += [f"{escape(what)}: {escape(does)}<br>" for what, does in MOUSE]
    for title, commands in GROUPS:
        lines.append(f"<br><b>{escape(title)}</b><br>")
        lines += [
            f"<b>{escape(' or '.join(chord_words(chord) for chord in command.keys))}</b>  "
            f"{escape(command.help)}<br>"
            for command in commands
            if command.keys
        ]
    lines.append("<br><b>While drawing a bracket</b><br>Enter closes it, Backspace takes the last "
                 "corner back, Escape gives up. Type a length such as 80 or 3 1/8&quot; for the "
                 "edge, the diameter or the thickness, or a place as out; up.<br>")  # fmt: skip
    lines.append("<br><b>In a field</b><br>Tab from the sketch goes to the first number. Enter and "
                 "Tab take what was typed and go on, Shift Tab goes back, the arrow keys step a "
                 "number, Escape gives back what was. Letters are for the sketch again after a "
                 "click there, or Escape. Lengths may be typed as 38.5, 38,5 mm, 1.5 in or "
                 "1 1/2&quot;.<br>")  # fmt: skip
    return "".join(lines)


def chord_words(chord: str) -> str:
    """A chord as a keyboard names it."""
    special = {"shift+/": "?", "ctrl+=": "Ctrl =", "ctrl++": "Ctrl +", "ctrl+-": "Ctrl −"}
    if chord in special:
        return special[chord]
    names = {"ctrl": "Ctrl", "shift": "Shift", ".": "full stop", ",": "comma"}
    parts = [names.get(part, part if len(part) > 1 else part.upper()) for part in chord.split("+")]
    return " ".join(part.capitalize() if part.islower() else part for part in parts if part)
