"""The way to a photo of a blade, wherever the app has put it."""

from __future__ import annotations

from phone import Phone
from playwright.sync_api import expect
from words import say


def pick_photo(phone: Phone, piece_id: str, picture: bytes) -> None:
    """Let the phone's own camera answer with a picture."""
    inputs = phone.page.locator("input[type=file]")
    phone.open(f"blade/{piece_id}/more")
    expect(phone.page.get_by_text(say("app.photo.take"), exact=True).first).to_be_visible()
    if inputs.count() == 0:
        phone.open(f"blade/{piece_id}/photo")
    inputs.first.set_input_files([{"name": "IMG.jpg", "mimeType": "image/jpeg", "buffer": picture}])
