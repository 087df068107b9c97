"""Which function answers which question."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from temperward.engine.look_back.outcomes import look_back
from temperward.engine.metallurgy.alloys import steels
from temperward.engine.metallurgy.decarb import edge_allowance
from temperward.engine.metallurgy.equivalents import temper_equivalent
from temperward.engine.metallurgy.hardness import as_quenched_hardness
from temperward.engine.metallurgy.hardness_scales import hardness_scales
from temperward.engine.metallurgy.tempering import temper_for, tempered_hardness
from temperward.engine.metallurgy.transformation import transformation_temperatures
from temperward.engine.process.batch import batch
from temperward.engine.process.batch_offer import batch_offer
from temperward.engine.process.card import make_card
from temperward.engine.process.card_offer import card_offer
from temperward.engine.process.card_pictures import card_pictures
from temperward.engine.process.check_values import check_values
from temperward.engine.process.edge_plan import edge_plan
from temperward.engine.process.findings_cards import findings
from temperward.engine.process.fold import fold
from temperward.engine.process.log_pictures import log_pictures
from temperward.engine.process.paper_times import paper_times
from temperward.engine.process.temper_trouble import overshoot, power_cut
from temperward.engine.process.torch_equal import torch_equals
from temperward.engine.shape.bevels import bevels
from temperward.engine.shape.springback import springback
from temperward.engine.shape.straightness import straightness
from temperward.engine.shape.twist import twist
from temperward.engine.shape.warp import warp_trend
from temperward.engine.sources import models, sources
from temperward.engine.thermal.bath import bath_rise, bath_size, flash_margin
from temperward.engine.thermal.hardening import will_it_harden
from temperward.engine.thermal.media import media
from temperward.engine.thermal.pyrometry import thermocouple_tolerance
from temperward.engine.thermal.windows import straightening_window

Answerer = Callable[[dict[str, Any]], Any]


def all_questions() -> dict[str, Answerer]:
    """Return each question's name with the function that takes its facts."""
    return {
        "as_quenched_hardness": as_quenched_hardness,
        "batch": batch,
        "batch_offer": batch_offer,
        "bath_rise": bath_rise,
        "bath_size": bath_size,
        "bevels": bevels,
        "card_offer": card_offer,
        "card_pictures": card_pictures,
        "check_values": check_values,
        "edge_allowance": edge_allowance,
        "edge_plan": edge_plan,
        "findings": findings,
        "flash_margin": flash_margin,
        "fold": fold,
        "hardness_scales": hardness_scales,
        "log_pictures": log_pictures,
        "look_back": look_back,
        "make_card": make_card,
        "media": media,
        "models": models,
        "overshoot": overshoot,
        "paper_times": paper_times,
        "power_cut": power_cut,
        "sources": sources,
        "springback": springback,
        "steels": steels,
        "straightening_window": straightening_window,
        "straightness": straightness,
        "temper_equivalent": temper_equivalent,
        "temper_for": temper_for,
        "tempered_hardness": tempered_hardness,
        "thermocouple_tolerance": thermocouple_tolerance,
        "torch_equals": torch_equals,
        "transformation_temperatures": transformation_temperatures,
        "twist": twist,
        "warp_trend": warp_trend,
        "will_it_harden": will_it_harden,
    }
