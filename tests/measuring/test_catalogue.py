"""The catalogue is complete, in order, and free of clashes."""

from __future__ import annotations

from eyeline.measuring.catalogue import BUILT_IN, quantities

CONTRACT = """
frame_format people eye_line eye_x third_distance centre_distance headroom crown_cut chin_room head_height
eye_to_chin room_left room_right edge_room lead_room shot_scale scene_code
head_yaw_deg head_pitch_deg head_roll_deg gaze_yaw_deg gaze_pitch_deg gaze gaze_confidence
eye_opening_left eye_opening_right eyes_open mouth_opening teeth_showing smile glasses_glare catchlight
eye_blur_px eye_blur_far_px eye_blur_iris motion_blur_px motion_direction_deg focus_behind noise_sigma
face_luminance face_clipped face_crushed light_ratio_stops separation
copy_space copy_space_left copy_space_right copy_space_contrast background_detail
camera_height subject_distance_m
""".split()
"""The measures of a single frame that are promised under these names."""


def test_every_promised_measure_is_there_once() -> None:
    names = [quantity.name for quantity in quantities(BUILT_IN)]
    assert len(names) == len(set(names))
    assert set(CONTRACT) <= set(names)


def test_a_measure_stands_after_those_it_needs() -> None:
    known: set[str] = set()
    for measure in BUILT_IN:
        assert set(measure.needs) <= known, measure.quantities[0].name
        known |= {quantity.name for quantity in measure.quantities}


def test_every_quantity_says_its_unit_and_meaning_and_every_measure_its_source() -> None:
    for measure in BUILT_IN:
        assert measure.source
        for quantity in measure.quantities:
            assert quantity.unit
            assert quantity.meaning
