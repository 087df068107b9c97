"""The tables. Every key of a shop's table begins with shop_id, and foreign keys carry it along.

Instants are whole milliseconds since 1970 (UTC): SQLite would drop a zone without a word.
"""

from __future__ import annotations

from sqlalchemy import BigInteger, ForeignKeyConstraint, Index, MetaData, Text, UniqueConstraint, text
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column

NAMES = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "fk": "fk_%(table_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}


PHOTO_ROWS = text("photo_sha256 IS NOT NULL")  # few rows are photos


class Base(DeclarativeBase):
    """The root of all tables."""

    metadata = MetaData(naming_convention=NAMES)
    type_annotation_map = {int: BigInteger(), str: Text()}  # noqa: RUF012  (SQLAlchemy reads it off the class)


def _in_shop() -> ForeignKeyConstraint:
    return ForeignKeyConstraint(["shop_id"], ["shops.shop_id"], ondelete="CASCADE")


class ServerFact(Base):
    """What the server itself remembers: epoch, push keys, the claim code's digest."""

    __tablename__ = "server_facts"

    name: Mapped[str] = mapped_column(primary_key=True)
    value: Mapped[str]


class WrongTry(Base):
    """Wrong joining codes per address and ten-minute window; the address is kept only as a digest."""

    __tablename__ = "wrong_tries"

    address_digest: Mapped[str] = mapped_column(primary_key=True)
    window_ms: Mapped[int] = mapped_column(primary_key=True)
    tries: Mapped[int]


class Shop(Base):
    """One shop; last_seq is the counter that is locked while entries are written."""

    __tablename__ = "shops"

    shop_id: Mapped[str] = mapped_column(primary_key=True)
    name: Mapped[str]
    zone: Mapped[str]
    origin: Mapped[str]  # claimed, demo, imported; loading until all of it is in
    last_seq: Mapped[int] = mapped_column(default=0)
    made_ms: Mapped[int]


class Device(Base):
    """A phone that joined; its token is kept only as a digest."""

    __tablename__ = "devices"
    __table_args__ = (_in_shop(), UniqueConstraint("token_digest"))

    shop_id: Mapped[str] = mapped_column(primary_key=True)
    device_id: Mapped[str] = mapped_column(primary_key=True)
    name: Mapped[str]
    role: Mapped[str]  # owner, smith, viewer
    token_digest: Mapped[str]
    joined_ms: Mapped[int]
    seen_ms: Mapped[int]
    revoked_ms: Mapped[int | None]


class JoinCode(Base):
    """A code that lets one more device in, once, for ten minutes."""

    __tablename__ = "join_codes"
    __table_args__ = (_in_shop(), UniqueConstraint("code_digest"))

    shop_id: Mapped[str] = mapped_column(primary_key=True)
    code_digest: Mapped[str] = mapped_column(primary_key=True)
    role: Mapped[str]
    expires_ms: Mapped[int]
    used_ms: Mapped[int | None]


class Entry(Base):
    """One line of a log, as the phone wrote it: `text` is the whole entry, the columns are what queries need.

    cursor_seq is what a pull goes by: equal to seq until the entry is erased, then a newer number, so that
    every phone meets it again; seq itself never changes.
    """

    __tablename__ = "entries"
    __table_args__ = (
        _in_shop(),
        UniqueConstraint("shop_id", "seq"),
        UniqueConstraint("shop_id", "cursor_seq"),
        Index(None, "shop_id", "log_kind", "log_id", "lamport", "id"),
        Index(None, "shop_id", "photo_sha256", sqlite_where=PHOTO_ROWS, postgresql_where=PHOTO_ROWS),
    )

    shop_id: Mapped[str] = mapped_column(primary_key=True)
    id: Mapped[str] = mapped_column(primary_key=True)
    seq: Mapped[int]
    cursor_seq: Mapped[int]
    log_kind: Mapped[str]
    log_id: Mapped[str]
    kind: Mapped[str]
    version: Mapped[int]
    lamport: Mapped[int]
    photo_sha256: Mapped[str | None]
    unread: Mapped[bool]
    received_ms: Mapped[int]
    erased_ms: Mapped[int | None]
    text: Mapped[str]


class Log(Base):
    """When the reminders of one log must next be worked out: after a change, or when time alone changes them.

    `changes` counts pushes that touched the log, so that a sender can tell whether it worked on the newest.
    """

    __tablename__ = "logs"
    __table_args__ = (_in_shop(), Index(None, "look_again_ms"))

    shop_id: Mapped[str] = mapped_column(primary_key=True)
    log_id: Mapped[str] = mapped_column(primary_key=True)
    changes: Mapped[int]
    look_again_ms: Mapped[int | None]
    failure: Mapped[str | None]  # the refusal's word, when the log could not be folded


class Reminder(Base):
    """One stage of one clock of one blade; sent at most once for each due instant."""

    __tablename__ = "reminders"
    __table_args__ = (
        ForeignKeyConstraint(["shop_id", "log_id"], ["logs.shop_id", "logs.log_id"], ondelete="CASCADE"),
        Index(None, "state", "next_try_ms"),
        Index(None, "shop_id", "log_id"),
    )

    shop_id: Mapped[str] = mapped_column(primary_key=True)
    clock_id: Mapped[str] = mapped_column(primary_key=True)
    stage: Mapped[str] = mapped_column(primary_key=True)
    log_id: Mapped[str]
    due_ms: Mapped[int]
    state: Mapped[
        str
    ]  # waiting, claimed, sent, passed (a later stage spoke for it), unheard (nobody took it in time)
    next_try_ms: Mapped[int]  # while claimed: when another sender may take it over
    first_try_ms: Mapped[int | None]
    sent_ms: Mapped[int | None]
    reached: Mapped[str]  # JSON list of the endpoint ids that took it


class PushSubscription(Base):
    """Where one device takes push messages."""

    __tablename__ = "push_subscriptions"
    __table_args__ = (
        ForeignKeyConstraint(
            ["shop_id", "device_id"], ["devices.shop_id", "devices.device_id"], ondelete="CASCADE"
        ),
        Index(None, "shop_id", "device_id"),
    )

    shop_id: Mapped[str] = mapped_column(primary_key=True)
    endpoint_id: Mapped[str] = mapped_column(primary_key=True)  # digest of the endpoint
    device_id: Mapped[str]
    endpoint: Mapped[str]
    p256dh: Mapped[str]
    auth: Mapped[str]
    made_ms: Mapped[int]


class Photo(Base):
    """A photo that is whole in the store."""

    __tablename__ = "photos"
    __table_args__ = (_in_shop(),)

    shop_id: Mapped[str] = mapped_column(primary_key=True)
    sha256: Mapped[str] = mapped_column(primary_key=True)
    length_bytes: Mapped[int]
    media_type: Mapped[str]
    width_px: Mapped[int]
    height_px: Mapped[int]
    stored_ms: Mapped[int]


class Erasure(Base):
    """What was erased and stays erased, also after an older backup comes back."""

    __tablename__ = "erasures"
    __table_args__ = (_in_shop(),)

    shop_id: Mapped[str] = mapped_column(primary_key=True)
    what: Mapped[str] = mapped_column(primary_key=True)  # entry, photo, log
    key: Mapped[str] = mapped_column(primary_key=True)
    erased_ms: Mapped[int]
