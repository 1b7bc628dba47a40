"""The system lets the program wait for a tenth of a second now and then; nothing that is said changes."""

from random import Random

from tests.builders import SECOND_NS, line, played
from trainer.devices.skill import SKILLS
from trainer.judging import judgement
from trainer.playing.profile import PickupProfile
from trainer.playing.stamps import StampAnchor
from trainer.run import Run, RunPlan

MS = 1_000_000
FRAME_NS = SECOND_NS // 60
HICCUP_NS = 100 * MS
ZERO_NS = 5 * SECOND_NS


def judged_in_frames(lasting_ns: list[int]) -> dict[str, object]:
    """A learner's take, followed in frames that last so long by turns; what a frame sees came during the one before."""
    exercise = line("quarry-steps", tempo=100)
    plan = RunPlan(exercise, exercise.tempo)
    run = Run(plan, zero_ns=ZERO_NS, profile=PickupProfile())
    messages = played(exercise, "miss 5, late 9 40", starts_at_ns=plan.count_in_ns, skill=SKILLS["learning"], seed=3)
    now_ns, at = ZERO_NS, 0
    frame = 0
    while not run.is_finished:
        now_ns += lasting_ns[frame % len(lasting_ns)]
        frame += 1
        first = at
        while at < len(messages) and ZERO_NS + messages[at].stamp_ns <= now_ns:
            at += 1
        run.update(tuple(m._replace(stamp_ns=ZERO_NS + m.stamp_ns) for m in messages[first:at]), now_ns)
    return judgement(run.session)


def test_what_is_said_of_a_take_does_not_depend_on_frames_that_come_late() -> None:
    even = judged_in_frames([FRAME_NS])
    with_hiccups = judged_in_frames([FRAME_NS] * 7 + [HICCUP_NS + FRAME_NS])

    assert even == with_hiccups


def test_messages_that_python_sees_a_tenth_of_a_second_late_are_stamped_when_they_came() -> None:
    rng = Random(1)
    anchor = StampAnchor()
    sent_ns, errors = 0, []

    for number in range(500):
        gap_ns = rng.randrange(10 * MS, 120 * MS)
        sent_ns += gap_ns
        late_ns = HICCUP_NS if number % 10 == 3 else rng.randrange(MS // 5, 2 * MS)
        errors.append(anchor.stamp(sent_ns + late_ns, gap_ns / 1e9) - sent_ns)

    assert max(errors[20:]) < 2 * MS
    assert min(errors) >= 0
