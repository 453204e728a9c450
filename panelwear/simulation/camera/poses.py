"""Poses a person would choose, and how nearly a tripod finds its marks again."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from panelwear.simulation.camera.model import Pose

STRAIGHT = Pose()
FOUR_POSES = (
    Pose(fill=0.72),
    Pose(fill=0.72, shift=(0.12, 0.0)),
    Pose(fill=0.72, shift=(0.0, -0.17)),
    Pose(fill=0.72, roll_deg=180.0),
)
"""The place that is kept, two unequal shifts in different directions, and upside down: room for all in the frame."""


def on_its_marks(pose: Pose, seed: int, shift: float = 0.003, angle_deg: float = 0.2) -> Pose:
    """Return a pose as a tripod put back on its marks has it.

    Args:
        pose: the one that was marked.
        seed: of chance.
        shift: standard deviation of each shift, as a share of the frame.
        angle_deg: standard deviation of tilt, turn and roll.
    """
    rng = np.random.default_rng((seed, 31))
    across, down = (float(one) for one in rng.normal(0, shift, 2))
    tilt, turn, roll = (float(one) for one in rng.normal(0, angle_deg, 3))
    return replace(
        pose,
        shift=(pose.shift[0] + across, pose.shift[1] + down),
        tilt_deg=pose.tilt_deg + tilt,
        turn_deg=pose.turn_deg + turn,
        roll_deg=pose.roll_deg + roll,
    )
