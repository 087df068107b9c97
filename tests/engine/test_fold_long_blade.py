"""The long blade of the demo shop, from ground ready to tempered: the way every smith goes."""

from __future__ import annotations

from log_maker import Log, plain_card


def the_grind(log: Log) -> None:
    """Ground ready by its checks."""
    assert log.fold()["state"]["id"] == "planned"
    log.mark("shaped", after_s=60)
    assert log.fold()["next"]["check"] == "edge_thickness"
    log.check("edge_thickness", {"readings_mm": [1.0, 1.0, 1.05]}, after_s=60)
    assert log.fold()["next"]["check"] == "straightness"
    log.bow(0.15)
    assert log.fold()["next"]["mark"] == "ground_ready"
    log.mark("ground_ready", after_s=60)
    assert log.fold()["next"]["mark"] == "in_fire"


def first_cycle(log: Log) -> None:
    """In the fire, soaked, cooled, measured."""
    log.mark("in_fire", after_s=60)
    assert log.fold()["state"] == {
        "id": "cycle_in_heat",
        "cycle": 1,
        "temper": None,
        "since_ms": log.now_ms,
        "text": {"key": "fold.state.cycle_in_heat", "facts": {}},
    }
    log.mark("even_heat", after_s=300)
    soaking = log.fold(after_s=1)
    assert soaking["phase"] == "heat.soak"
    assert soaking["number"]["until_ms"] == log.now_ms + 180_000
    assert log.fold(after_s=181)["phase"] == "heat.soaked"
    log.mark("out_of_fire", after_s=200)
    cooling = log.fold(after_s=10)
    assert (cooling["shape"], cooling["hazards"], cooling["next"]["mark"]) == ("triangle", ["HOT"], "cold")
    log.mark("cold", after_s=1100)
    assert log.fold()["next"]["check"] == "straightness"
    log.bow(0.30)
    assert log.fold()["next"]["mark"] == "in_fire"


def bow_that_grows(log: Log) -> None:
    """The second step beyond scatter stops it."""
    log.cycle(None)
    gaps = [1.0, 1.1, 1.35, 1.55, 1.45, 1.2, 1.0]
    stations = [{"at_mm": 70 * k, "gap_mm": gaps[k]} for k in range(7)]
    log.check(
        "straightness", {"length_mm": 420, "pad_mm": 1.0, "stations": stations, "side": "left"}, after_s=60
    )
    grown = log.fold()
    assert grown["phase"] == "cold.trend"
    assert grown["shape"] == "octagon"
    assert abs(grown["bows"][-1]["bow_mm"] - 0.55) < 1e-9
    assert grown["bows"][-1]["at_mm"] == 210
    assert grown["trend"]["flag"]
    assert grown["trend"]["open"]
    assert "trend" in [flag["id"] for flag in grown["flags"]]
    assert "bow_growing" in [finding["id"] for finding in grown["findings"]]
    assert grown["next"] == {
        "do": "open",
        "screen": "what_now",
        "finding": "bow_growing",
        "label": {"key": "fold.do.what_to_look_for", "facts": {}},
        "hold": False,
        "kind": "stop",
    }


def straightened(log: Log) -> None:
    """Straightened hot, one more cycle, steady."""
    log.mark("straightened", after_s=600)
    assert log.fold()["next"]["check"] == "straightness"
    log.bow(0.10)
    assert log.fold()["next"]["mark"] == "in_fire"
    log.cycle(0.15)
    steady = log.fold()
    assert "trend" not in [flag["id"] for flag in steady["flags"]]
    assert steady["next"]["mark"] == "ready"


def ready(log: Log) -> None:
    """Every item is asked for once."""
    log.mark("ready", after_s=60)
    asked = []
    answers = {
        "bath_temperature": {"temperature_c": 54},
        "bath_ready": {
            "covers_blade": True,
            "lid": True,
            "extinguisher": True,
            "path": True,
            "tipping": True,
        },
        "oven_temperature": {"temperature_c": 204},
    }
    while log.fold()["next"]["do"] == "check":
        asked.append(log.fold()["next"]["check"])
        log.check(asked[-1], answers[asked[-1]], after_s=20)
    assert asked == ["bath_temperature", "bath_ready", "oven_temperature"]
    ready = log.fold()
    assert ready["gates"][0]["id"] == "ready_to_harden"
    assert ready["gates"][0]["open"]
    assert (ready["word"]["key"], ready["shape"]) == ("fold.word.ready", "circle")


def hardening(log: Log) -> None:
    """Magnet, colour, soak, quench, window; then hard."""
    log.mark("hardening_fire", after_s=60)
    assert log.fold()["next"]["check"] == "magnet"
    log.check("magnet", {"answer": "sticks", "rising": True}, after_s=200)
    assert log.fold()["phase"] == "fire.magnet_again"
    log.check("magnet", {"answer": "none", "rising": True}, after_s=30)
    assert log.fold()["next"]["check"] == "colour"
    log.check("colour", {"even": True}, after_s=30)
    assert log.fold(after_s=5)["phase"] == "fire.soak"
    assert log.fold(after_s=121)["phase"] == "fire.go"
    log.mark("going_to_quench", after_s=125)
    going = log.fold()
    assert (going["screen"], going["next"]["mark"], going["offers"]) == ("quench", "quenched", [])
    quench_id = log.mark("quenched", after_s=3)
    quench_ms = log.now_ms
    inside = log.fold(after_s=2)
    assert (inside["state"]["id"], inside["screen"], inside["offers"]) == ("in_quench", "quench", [])
    log.mark("out_of_bath", after_s=15)
    window = log.fold()
    assert (window["state"]["id"], window["screen"]) == ("warm_window", "straighten")
    assert window["window"]["bend_until_ms"] == log.now_ms + 46_000
    assert log.fold(after_s=33)["word"]["key"] == "fold.word.stiffening"
    hard = log.fold(after_s=80)
    assert (hard["state"]["id"], hard["state"]["since_ms"]) == ("hard", quench_ms)
    assert hard["number"]["from_ms"] == quench_ms
    clock = hard["clocks"][0]
    assert clock["id"] == "brittle:" + quench_id
    assert [stage["due_ms"] - quench_ms for stage in clock["stages"]] == [600_000, 1_800_000, 3_600_000]


def tempers(log: Log) -> None:
    """Two tempers, then tempered."""
    log.mark("hand_warm", after_s=900)
    assert log.fold(after_s=1)["next"]["mark"] == "in_oven"
    assert log.fold(after_s=1)["offers"][0]["check"] == "file"
    log.check("file", {"file_hrc": 62, "place": "edge", "answer": "skates"}, after_s=30)
    log.check("sight", {"answer": "straight"}, after_s=20)
    log.check("crack", {"answer": "none", "method": "sight"}, after_s=20)
    assert log.fold()["next"]["mark"] == "in_oven"
    log.mark("in_oven", after_s=600, body={"purpose": "temper"})
    inside = log.fold()
    assert inside["next"]["check"] == "oven_temperature"
    assert [c["paused"] for c in inside["clocks"] if c["kind"] == "brittle"] == [True]
    log.check("oven_temperature", {"temperature_c": 205}, after_s=900)
    holding = log.fold()
    assert holding["number"]["until_ms"] == log.now_ms + 7_200_000
    log.mark("out_of_oven", after_s=7300)
    log.mark("cold_after_temper", after_s=1300)
    assert log.fold()["next"]["check"] == "straightness"
    log.bow(0.20)
    assert log.fold()["next"]["mark"] == "in_oven"
    assert log.fold()["tempers_done"] == 1
    log.temper()
    log.bow(0.12)
    done = log.fold()
    assert (done["next"]["mark"], done["gates"][0]["id"], done["gates"][0]["open"]) == (
        "tempered",
        "temper_done",
        True,
    )
    log.mark("tempered", after_s=60)
    tempered = log.fold()
    assert (tempered["state"]["id"], tempered["shape"], tempered["clocks"]) == ("tempered", "square", [])
    assert [flag["id"] for flag in tempered["flags"]] == []


def test_the_long_blade_goes_all_the_way_and_is_stopped_where_its_bow_grows() -> None:
    log = Log(card=plain_card())
    for part in (the_grind, first_cycle, bow_that_grows, straightened, ready, hardening, tempers):
        part(log)
