"""What no card is made for: refused by name, with the reason."""

from __future__ import annotations

from typing import Any

from temperward.engine.errors import Refused

# Name as a person may write it, plainly, and the words key of the reason (practice).
REFUSED_NAMES = [
    ("salt", "refusal.card_salt"),
    ("salt_bath", "refusal.card_salt"),
    ("molten_salt", "refusal.card_salt"),
    ("lead", "refusal.card_lead"),
    ("lead_pot", "refusal.card_lead"),
    ("fluid_bed", "refusal.card_fluid_bed"),
    ("fluidised_bed", "refusal.card_fluid_bed"),
    ("fluidized_bed", "refusal.card_fluid_bed"),
    ("austempering", "refusal.card_austempering"),
    ("austemper", "refusal.card_austempering"),
    ("carburising", "refusal.card_carburising"),
    ("carburizing", "refusal.card_carburising"),
    ("case_hardening", "refusal.card_carburising"),
    ("caustic", "refusal.card_caustic"),
    ("lye", "refusal.card_caustic"),
    ("cyanide", "refusal.card_cyanide"),
    ("induction", "refusal.card_induction"),
    ("liquid_nitrogen", "refusal.card_cold_step"),
    ("dry_ice", "refusal.card_cold_step"),
    ("freezer", "refusal.card_cold_step"),
]
TORCH_ALONE_NAMES = ["torch", "torch_alone", "torch_only"]
CLADDING_NAMES = [
    ("stainless", "refusal.card_stainless_cladding"),
    ("mild", "refusal.card_mild_cladding"),
    ("mildsteel", "refusal.card_mild_cladding"),
    ("wroughtiron", "refusal.card_mild_cladding"),
]


def plain(name: Any) -> str:
    """Return a name in small letters with underscores between its words.

    >>> plain("Salt bath")
    'salt_bath'
    """
    return str(name).strip().lower().replace(" ", "_").replace("-", "_")


def refuse_name(name: Any, *, field: str) -> None:
    """Refuse a process or medium that no card is made for."""
    for refused, reason in REFUSED_NAMES:
        if plain(name) == refused:
            raise Refused(field=field, value=str(name), reason=reason)


def refuse_torch_alone(name: Any) -> None:
    """Refuse a torch in the oven's place: as a range it is only ever the second temper."""
    if plain(name) in TORCH_ALONE_NAMES:
        raise Refused(field="oven_kind", value=str(name), reason="refusal.card_torch_alone")


def refuse_cladding(name: Any) -> None:
    """Refuse a second layer that does not harden with the first."""
    for refused, reason in CLADDING_NAMES:
        if plain(name).replace("_", "") == refused:
            raise Refused(field="steels", value=str(name), reason=reason)
