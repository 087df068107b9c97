"""How a phone gets in: the claim code of a new server, joining codes, and what a wrong one costs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import delete, func, select, update
from sqlalchemy.orm import Session

from temperward.errors import BadCode, NotAllowed, NotHere, OtherShop, TooManyTries
from temperward.services import secrets_made
from temperward.services.server_facts import forget_fact, read_fact, replace_fact
from temperward.storage.models import Device, JoinCode, Shop, WrongTry
from temperward.storage.session import begin_write, upsert

CLAIM = "claim_code_digest"
LOADING = "loading"  # origin of a shop that is being brought in: nobody can join it yet
CODE_LIFE_MS = 10 * 60 * 1000
WINDOW_MS = 10 * 60 * 1000
TRIES_PER_ADDRESS = 10
TRIES_IN_ALL = 300


@dataclass(frozen=True, slots=True, kw_only=True)
class Joined:
    """A device that is in, with the token only it will hold."""

    device: Device
    shop: Shop
    token: str


@dataclass(frozen=True, slots=True, kw_only=True)
class JoinCodeMade:
    """A code to be shown once."""

    code: str
    expires_ms: int


def make_claim_code(session: Session) -> str:
    """Make the one-time code that lets the first device of a new shop in; an older one ends."""
    code = secrets_made.new_code()
    replace_fact(session, CLAIM, secrets_made.digest(code))
    return code


def claim_code_if_new(session: Session) -> str | None:
    """Return a fresh claim code while the server holds no shop."""
    if session.scalar(select(func.count()).select_from(Shop)):
        return None
    return make_claim_code(session)


def claim_shop(wish: dict[str, Any], *, session: Session, address: str, now_ms: int) -> Joined:
    """Make a new shop and let its first device in as owner."""
    check_tries(session, address=address, now_ms=now_ms)
    code = secrets_made.digest(secrets_made.typed_code(wish["code"]))
    right = read_fact(session, CLAIM) == code
    if right and wish.get("shop_id"):  # it holds another shop's log, and the code stays good
        raise OtherShop
    if not right or not forget_fact(session, CLAIM):
        count_wrong_try(session, address=address, now_ms=now_ms)
        raise BadCode
    shop = new_shop(session, name=wish["shop_name"], zone=wish["zone"], origin="claimed", now_ms=now_ms)
    return _let_in(session, shop=shop, name=wish["device_name"], role="owner", now_ms=now_ms)


def new_shop(
    session: Session, *, name: str, zone: str, origin: str, now_ms: int, shop_id: str | None = None
) -> Shop:
    """Add a shop to the running transaction, with an id of its own unless one is given."""
    begin_write(session)
    own = shop_id or secrets_made.new_id()
    shop = Shop(shop_id=own, name=name, zone=zone, origin=origin, last_seq=0, made_ms=now_ms)
    session.add(shop)
    session.flush()
    return shop


def make_join_code(session: Session, *, shop_id: str, role: str, now_ms: int) -> JoinCodeMade:
    """Make a code for one more device."""
    code = secrets_made.new_code()
    expires_ms = now_ms + CODE_LIFE_MS
    begin_write(session)
    session.execute(delete(JoinCode).where(JoinCode.expires_ms < now_ms - CODE_LIFE_MS))
    session.add(
        JoinCode(
            shop_id=shop_id,
            code_digest=secrets_made.digest(code),
            role=role,
            expires_ms=expires_ms,
            used_ms=None,
        )
    )
    session.commit()
    return JoinCodeMade(code=code, expires_ms=expires_ms)


def join_shop(wish: dict[str, Any], *, session: Session, address: str, now_ms: int) -> Joined:
    """Let a device in by a code, which is thereby used; not one that holds another shop's log."""
    check_tries(session, address=address, now_ms=now_ms)
    code = secrets_made.digest(secrets_made.typed_code(wish["code"]))
    begin_write(session)
    use = (
        update(JoinCode)
        .where(JoinCode.code_digest == code, JoinCode.used_ms.is_(None), JoinCode.expires_ms > now_ms)
        .values(used_ms=now_ms)
        .returning(JoinCode.shop_id, JoinCode.role)
    )
    used = session.execute(use).one_or_none()
    if used is None:
        session.rollback()
        count_wrong_try(session, address=address, now_ms=now_ms)
        raise BadCode
    if wish.get("shop_id") not in (None, "", used.shop_id):
        session.rollback()
        raise OtherShop
    shop = session.get_one(Shop, used.shop_id)
    return _let_in(session, shop=shop, name=wish["device_name"], role=used.role, now_ms=now_ms)


def _let_in(session: Session, *, shop: Shop, name: str, role: str, now_ms: int) -> Joined:
    token = secrets_made.new_token()
    device = Device(
        shop_id=shop.shop_id,
        device_id=secrets_made.new_id(),
        name=name,
        role=role,
        token_digest=secrets_made.digest(token),
        joined_ms=now_ms,
        seen_ms=now_ms,
        revoked_ms=None,
    )
    session.add(device)
    session.commit()
    return Joined(device=device, shop=shop, token=token)


def check_tries(session: Session, *, address: str, now_ms: int) -> None:
    """Refuse while an address, or everybody together, has guessed too often in this ten minutes."""
    window_ms = now_ms - now_ms % WINDOW_MS
    own = _tries(session, [secrets_made.digest(address)], window_ms=window_ms)
    everybody = _tries(session, None, window_ms=window_ms)
    if own >= TRIES_PER_ADDRESS or everybody >= TRIES_IN_ALL:
        raise TooManyTries(retry_after_s=1 + (window_ms + WINDOW_MS - now_ms) // 1000)


def _tries(session: Session, addresses: list[str] | None, *, window_ms: int) -> int:
    query = select(func.coalesce(func.sum(WrongTry.tries), 0)).where(WrongTry.window_ms == window_ms)
    if addresses is not None:
        query = query.where(WrongTry.address_digest.in_(addresses))
    return int(session.execute(query).scalar_one())


def count_wrong_try(session: Session, *, address: str, now_ms: int) -> None:
    """Count one wrong code against an address."""
    window_ms = now_ms - now_ms % WINDOW_MS
    begin_write(session)
    session.execute(delete(WrongTry).where(WrongTry.window_ms < window_ms))
    row = {"address_digest": secrets_made.digest(address), "window_ms": window_ms, "tries": 1}
    one_more = {"tries": WrongTry.tries + 1}
    insert = upsert(session, WrongTry).values(row)
    session.execute(
        insert.on_conflict_do_update(index_elements=["address_digest", "window_ms"], set_=one_more)
    )
    session.commit()


def require_role(device: Device, *roles: str) -> None:
    """Refuse unless the device carries one of the roles."""
    if device.role not in roles:
        raise NotAllowed(role=device.role, needs=list(roles))


def only_shop(session: Session, *, shop_id: str | None) -> str:
    """Return the shop that was named, or the one there is."""
    whole = select(Shop.shop_id).where(Shop.origin != LOADING)
    found = list(session.scalars(whole.order_by(Shop.made_ms, Shop.shop_id)))
    if shop_id is None and len(found) == 1:
        return found[0]
    if shop_id in found:
        return str(shop_id)
    raise NotHere("name_the_shop", shops=found)
