"""The first tables.

Revision: 0001, after None.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Go up."""
    op.create_table(
        "server_facts",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_server_facts")),
    )
    op.create_table(
        "shops",
        sa.Column("shop_id", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("zone", sa.Text(), nullable=False),
        sa.Column("origin", sa.Text(), nullable=False),
        sa.Column("last_seq", sa.BigInteger(), nullable=False),
        sa.Column("made_ms", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("shop_id", name=op.f("pk_shops")),
    )
    op.create_table(
        "wrong_tries",
        sa.Column("address_digest", sa.Text(), nullable=False),
        sa.Column("window_ms", sa.BigInteger(), nullable=False),
        sa.Column("tries", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("address_digest", "window_ms", name=op.f("pk_wrong_tries")),
    )
    op.create_table(
        "devices",
        sa.Column("shop_id", sa.Text(), nullable=False),
        sa.Column("device_id", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("role", sa.Text(), nullable=False),
        sa.Column("token_digest", sa.Text(), nullable=False),
        sa.Column("joined_ms", sa.BigInteger(), nullable=False),
        sa.Column("seen_ms", sa.BigInteger(), nullable=False),
        sa.Column("revoked_ms", sa.BigInteger(), nullable=True),
        sa.ForeignKeyConstraint(
            ["shop_id"], ["shops.shop_id"], name=op.f("fk_devices_shops"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("shop_id", "device_id", name=op.f("pk_devices")),
        sa.UniqueConstraint("token_digest", name=op.f("uq_devices_token_digest")),
    )
    op.create_table(
        "entries",
        sa.Column("shop_id", sa.Text(), nullable=False),
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("seq", sa.BigInteger(), nullable=False),
        sa.Column("cursor_seq", sa.BigInteger(), nullable=False),
        sa.Column("log_kind", sa.Text(), nullable=False),
        sa.Column("log_id", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("version", sa.BigInteger(), nullable=False),
        sa.Column("lamport", sa.BigInteger(), nullable=False),
        sa.Column("photo_sha256", sa.Text(), nullable=True),
        sa.Column("unread", sa.Boolean(), nullable=False),
        sa.Column("received_ms", sa.BigInteger(), nullable=False),
        sa.Column("erased_ms", sa.BigInteger(), nullable=True),
        sa.Column("text", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["shop_id"], ["shops.shop_id"], name=op.f("fk_entries_shops"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("shop_id", "id", name=op.f("pk_entries")),
        sa.UniqueConstraint("shop_id", "cursor_seq", name=op.f("uq_entries_shop_id_cursor_seq")),
        sa.UniqueConstraint("shop_id", "seq", name=op.f("uq_entries_shop_id_seq")),
    )
    with op.batch_alter_table("entries", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_entries_shop_id_log_kind_log_id_lamport_id"),
            ["shop_id", "log_kind", "log_id", "lamport", "id"],
            unique=False,
        )
        batch_op.create_index(
            batch_op.f("ix_entries_shop_id_photo_sha256"),
            ["shop_id", "photo_sha256"],
            unique=False,
            sqlite_where=sa.text("photo_sha256 IS NOT NULL"),
            postgresql_where=sa.text("photo_sha256 IS NOT NULL"),
        )

    op.create_table(
        "erasures",
        sa.Column("shop_id", sa.Text(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("erased_ms", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(
            ["shop_id"], ["shops.shop_id"], name=op.f("fk_erasures_shops"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("shop_id", "what", "key", name=op.f("pk_erasures")),
    )
    op.create_table(
        "join_codes",
        sa.Column("shop_id", sa.Text(), nullable=False),
        sa.Column("code_digest", sa.Text(), nullable=False),
        sa.Column("role", sa.Text(), nullable=False),
        sa.Column("expires_ms", sa.BigInteger(), nullable=False),
        sa.Column("used_ms", sa.BigInteger(), nullable=True),
        sa.ForeignKeyConstraint(
            ["shop_id"], ["shops.shop_id"], name=op.f("fk_join_codes_shops"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("shop_id", "code_digest", name=op.f("pk_join_codes")),
        sa.UniqueConstraint("code_digest", name=op.f("uq_join_codes_code_digest")),
    )
    op.create_table(
        "logs",
        sa.Column("shop_id", sa.Text(), nullable=False),
        sa.Column("log_id", sa.Text(), nullable=False),
        sa.Column("changes", sa.BigInteger(), nullable=False),
        sa.Column("look_again_ms", sa.BigInteger(), nullable=True),
        sa.Column("failure", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(
            ["shop_id"], ["shops.shop_id"], name=op.f("fk_logs_shops"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("shop_id", "log_id", name=op.f("pk_logs")),
    )
    with op.batch_alter_table("logs", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_logs_look_again_ms"), ["look_again_ms"], unique=False)

    op.create_table(
        "photos",
        sa.Column("shop_id", sa.Text(), nullable=False),
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("length_bytes", sa.BigInteger(), nullable=False),
        sa.Column("media_type", sa.Text(), nullable=False),
        sa.Column("width_px", sa.BigInteger(), nullable=False),
        sa.Column("height_px", sa.BigInteger(), nullable=False),
        sa.Column("stored_ms", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(
            ["shop_id"], ["shops.shop_id"], name=op.f("fk_photos_shops"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("shop_id", "sha256", name=op.f("pk_photos")),
    )
    op.create_table(
        "push_subscriptions",
        sa.Column("shop_id", sa.Text(), nullable=False),
        sa.Column("endpoint_id", sa.Text(), nullable=False),
        sa.Column("device_id", sa.Text(), nullable=False),
        sa.Column("endpoint", sa.Text(), nullable=False),
        sa.Column("p256dh", sa.Text(), nullable=False),
        sa.Column("auth", sa.Text(), nullable=False),
        sa.Column("made_ms", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(
            ["shop_id", "device_id"],
            ["devices.shop_id", "devices.device_id"],
            name=op.f("fk_push_subscriptions_devices"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("shop_id", "endpoint_id", name=op.f("pk_push_subscriptions")),
    )
    with op.batch_alter_table("push_subscriptions", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_push_subscriptions_shop_id_device_id"), ["shop_id", "device_id"], unique=False
        )

    op.create_table(
        "reminders",
        sa.Column("shop_id", sa.Text(), nullable=False),
        sa.Column("clock_id", sa.Text(), nullable=False),
        sa.Column("stage", sa.Text(), nullable=False),
        sa.Column("log_id", sa.Text(), nullable=False),
        sa.Column("due_ms", sa.BigInteger(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("next_try_ms", sa.BigInteger(), nullable=False),
        sa.Column("first_try_ms", sa.BigInteger(), nullable=True),
        sa.Column("sent_ms", sa.BigInteger(), nullable=True),
        sa.Column("reached", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["shop_id", "log_id"],
            ["logs.shop_id", "logs.log_id"],
            name=op.f("fk_reminders_logs"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("shop_id", "clock_id", "stage", name=op.f("pk_reminders")),
    )
    with op.batch_alter_table("reminders", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_reminders_shop_id_log_id"), ["shop_id", "log_id"], unique=False)
        batch_op.create_index(
            batch_op.f("ix_reminders_state_next_try_ms"), ["state", "next_try_ms"], unique=False
        )


def downgrade() -> None:
    """Go back."""
    with op.batch_alter_table("reminders", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_reminders_state_next_try_ms"))
        batch_op.drop_index(batch_op.f("ix_reminders_shop_id_log_id"))

    op.drop_table("reminders")
    with op.batch_alter_table("push_subscriptions", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_push_subscriptions_shop_id_device_id"))

    op.drop_table("push_subscriptions")
    op.drop_table("photos")
    with op.batch_alter_table("logs", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_logs_look_again_ms"))

    op.drop_table("logs")
    op.drop_table("join_codes")
    op.drop_table("erasures")
    with op.batch_alter_table("entries", schema=None) as batch_op:
        batch_op.drop_index(
            batch_op.f("ix_entries_shop_id_photo_sha256"),
            sqlite_where=sa.text("photo_sha256 IS NOT NULL"),
            postgresql_where=sa.text("photo_sha256 IS NOT NULL"),
        )
        batch_op.drop_index(batch_op.f("ix_entries_shop_id_log_kind_log_id_lamport_id"))

    op.drop_table("entries")
    op.drop_table("devices")
    op.drop_table("wrong_tries")
    op.drop_table("shops")
    op.drop_table("server_facts")
