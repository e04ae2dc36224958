"""Where an empty scene starts: a sensible strut layout to drag into shape."""

from __future__ import annotations

from kinematics.parts import (
    GearboxMovement,
    Hub,
    InnerJoint,
    OuterJoint,
    Section,
    Shaft,
    Steering,
    Strut,
    Travel,
)
from scenes.model import Scene


def start_scene() -> Scene:
    """A plausible strut front axle with round numbers and an undecided shaft on each side."""

    def shaft(mid_out: float) -> Shaft:
        return Shaft(
            inner_joint=InnerJoint((mid_out, 310.0, 0.0), 22.0, 22.0, 22.0),
            outer_joint=OuterJoint(45.0),
            sections=(
                Section("outer boot", 30.0, 100.0, (85.0, 35.0)),
                Section("bar", 100.0, 300.0, (25.0, 25.0)),
                Section("inner boot", 300.0, 370.0, (35.0, 80.0)),
            ),
        )

    return Scene(
        title="New scene",
        notes="Started from round numbers: replace every one of them by a measured one.",
        linkage=Strut((350.0, 210.0, 0.0), (680.0, 195.0, 0.0), (590.0, 780.0, -20.0),
                      (650.0, 345.0, 0.0)),
        hub=Hub((665.0, 300.0, 0.0), (735.0, 300.0, 0.0)),
        travel=Travel(70.0, 80.0),
        steering=Steering(34.0, 28.0),
        gearbox_movement=GearboxMovement(4.0, 5.0, 6.0),
        left=shaft(270.0),
        right=shaft(260.0),
    )  # fmt: skip
