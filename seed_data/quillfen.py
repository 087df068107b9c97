"""The whole demo shop in one call."""

from __future__ import annotations

from dataclasses import dataclass

from seed_data import live, october_batch, october_blades, people
from seed_data.logbook import ZONE, Body, Entry, Logbook

FIXED_SEED = b"quillfen october 2026"


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoShop:
    """What a loader needs: who sends, which entries, which photos."""

    name: str
    zone: str
    devices: list[Body]
    entries: list[Entry]
    photos: list[bytes]


def demo_shop(*, now_ms: int, seed: bytes) -> DemoShop:
    """Return the shop: October 2026 is always the same; blades in work hang on now_ms, their ids on seed."""
    october = Logbook(FIXED_SEED)
    people.open_shop(october)
    october_batch.found_bar(october)
    october_batch.kitchen_batch(october)
    october_blades.camp_knife(october)
    october_blades.long_knife(october)
    october_blades.brine_skinner(october)
    october_blades.power_cut(october)
    today = Logbook(seed)
    live.live_blades(today, now_ms)
    return DemoShop(
        name=people.SHOP_NAME,
        zone=ZONE,
        devices=[
            {"device_id": smith.device_id, "name": f"{smith.initials}'s phone"} for smith in people.SMITHS
        ],
        entries=october.entries + today.entries,
        photos=october.photos + today.photos,
    )
