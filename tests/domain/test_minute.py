from station.domain.minute import minute_of
from station.domain.quality import JudgedSample, Reason
from station.domain.readings import Mark, Miss, ProbeReading, Sample

GOOD = Reason.GOOD


def air(temp_c, rh_pct=50.0, sensor="air", temp=GOOD, rh=GOOD):
    return JudgedSample(Sample(sensor, temp_c, rh_pct), temp, rh, None)


def light(light_lx, saturated=False, sensor="light"):
    return JudgedSample(
        Sample(sensor, light_lx=light_lx, saturated=saturated), None, None, Reason.SATURATED if saturated else GOOD
    )


def dropped(reason=Reason.JUMP, sensor="air"):
    return air(None, None, sensor, reason, reason)


def probe(temp_c, name="jar-1"):
    return JudgedSample(Sample(name, temp_c), GOOD if temp_c is not None else Reason.JUMP, None, None)


def test_a_minute_is_the_medians_of_what_is_left():
    minute = minute_of([air(20.0, 50), air(20.1, 52), air(20.6, 51), light(100), light(300)])
    assert (minute.temp_c, minute.rh_pct, minute.light_lx) == (20.1, 51, 200)
    assert (minute.good, minute.missed, minute.marks, minute.probes) == (5, 0, Mark.NONE, ())


def test_a_minute_in_which_nothing_came_holds_nothing():
    minute = minute_of([])
    assert (minute.temp_c, minute.rh_pct, minute.light_lx) == (None, None, None)
    assert (minute.good, minute.missed, minute.marks) == (0, 0, Mark.NONE)


def test_misses_and_dropped_samples_are_counted_and_leave_the_median_alone():
    minute = minute_of([air(20.0), dropped(), air(20.2)], [Miss("air", "checksum"), Miss("air", "checksum")])
    assert minute.temp_c == 20.1
    assert (minute.good, minute.missed) == (2, 3)
    assert minute.marks == Mark.DOUBTED


def test_a_sample_of_which_something_is_left_counts_as_good():
    half = JudgedSample(Sample("air", rh_pct=50.0), Reason.DOUBLED, GOOD, None)
    minute = minute_of([half])
    assert (minute.temp_c, minute.rh_pct) == (None, 50)
    assert (minute.good, minute.missed, minute.marks) == (1, 0, Mark.DOUBTED)


def test_a_stuck_sensor_marks_the_minute():
    minute = minute_of([dropped(Reason.STUCK)])
    assert minute.temp_c is None
    assert minute.marks == Mark.STUCK | Mark.DOUBTED


def test_a_minute_of_saturated_light_is_a_lower_bound():
    minute = minute_of([light(54_612, saturated=True)] * 4 + [light(30_000)] * 2)
    assert minute.light_lx == 54_612
    assert minute.marks == Mark.SATURATED


def test_a_few_saturated_samples_leave_the_median_as_it_is():
    minute = minute_of([light(54_612, saturated=True)] * 2 + [light(30_000)] * 4)
    assert minute.light_lx == 30_000
    assert minute.marks == Mark.NONE


def test_half_the_samples_saturated_make_the_median_a_lower_bound():
    minute = minute_of([light(54_612, saturated=True)] * 3 + [light(30_000)] * 3)
    assert minute.light_lx == (54_612 + 30_000) / 2
    assert minute.marks == Mark.SATURATED


def test_probes_have_medians_of_their_own_and_stay_out_of_the_shelfs():
    judged = [air(20.0), probe(24.0), probe(25.0), probe(24.5), probe(18.0, "jar-2"), probe(None, "jar-3")]
    minute = minute_of(judged, [Miss("jar-2", "checksum")], probes=("jar-3", "jar-2", "jar-1"))
    assert minute.temp_c == 20.0
    assert (minute.good, minute.missed) == (1, 0)
    assert minute.probes == (ProbeReading("jar-1", 24.5), ProbeReading("jar-2", 18.0))
    assert minute.marks == Mark.DOUBTED
