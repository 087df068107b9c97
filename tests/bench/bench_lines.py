"""The rows of the server's table: what is done, how long it took, and how long the floor took."""

from __future__ import annotations

import hashlib
import statistics
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Any

from bench_client import PART, BenchPhone, ShakyPhone, packed, photos
from common.logs import NOW_MS, entry, new_id

ENTRIES, BATCH, PHOTOS, PHONES = 10_000, 500, 200, 200
AT_ONCE = 4  # photos on their way at a time


@dataclass
class Line:
    """One row of the table."""

    what: str
    seen: str
    floor: str
    must: str
    kept: bool
    cpu: str = "-"

    @property
    def word(self) -> str:
        """Say whether it was kept, where there is something to keep."""
        return "" if self.must == "-" else "kept" if self.kept else "missed"


Cpu = Callable[[], float]


def timed(work: Callable[[], Any]) -> float:
    """Return the seconds a piece of work took."""
    started = time.perf_counter()
    work()
    return time.perf_counter() - started


def measured(work: Callable[[], Any], cpu: Cpu) -> tuple[float, str]:
    """Return the seconds a piece of work took, and what the server computed for it: that does not wait."""
    before = cpu()
    took = timed(work)
    return took, f"{cpu() - before:.2f} s"


def shop_entries() -> list[dict[str, Any]]:
    """Return entries of 100 blades, as phones write them."""
    logs = [new_id() for _ in range(ENTRIES // 100)]
    return [
        entry(
            log_id=logs[number // 100],
            kind="check",
            lamport=number % 100 + 1,
            happened_ms=NOW_MS + number * 1000,
            body={"check": "bow", "bow_mm": number % 7 / 10, "length_mm": 420, "at_mm": 210, "side": "left"},
        )
        for number in range(ENTRIES)
    ]


def push_all(phone: BenchPhone, bodies: list[bytes]) -> int:
    """Push every body in order; return how many rows came back."""
    return sum(len(phone.sync(body)["rows"]) for body in bodies)


def pull_all(phone: BenchPhone) -> int:
    """Fetch everything, page after page; return the number of rows."""
    count, since, more = 0, 0, True
    while more:
        answer = phone.sync(packed([], since=since))
        count, since, more = count + len(answer["rows"]), answer["next_since"], answer["more"]
    return count


def text_lines(real: BenchPhone, bare: BenchPhone, fresh: BenchPhone, *, cpu: Cpu) -> Iterator[Line]:
    """Push 10,000 entries, fetch them to a fresh phone, push them again."""
    entries = shop_entries()
    batches = [entries[at : at + BATCH] for at in range(0, ENTRIES, BATCH)]
    bodies = [packed(batch, since=0 if at == 0 else at * BATCH) for at, batch in enumerate(batches)]
    floor = timed(lambda: push_all(bare, bodies))
    before = real.sent + real.got
    seen, spent = measured(lambda: push_all(real, bodies), cpu)
    megabytes = (real.sent + real.got - before) / 1e6
    yield Line(
        what=f"push {ENTRIES} entries, {len(bodies)} requests",
        seen=f"{seen:.2f} s, {megabytes:.2f} MB",
        floor=f"{floor:.2f} s",
        must="<= 1.5 s, <= 0.95 MB",
        kept=seen <= 1.5 and megabytes <= 0.95,
        cpu=spent,
    )
    floor = timed(lambda: pull_all(bare))
    counted: list[int] = []
    seen, spent = measured(lambda: counted.append(pull_all(fresh)), cpu)
    assert counted == [ENTRIES], counted
    yield Line(
        "fetch them to a fresh phone", f"{seen:.2f} s", f"{floor:.2f} s", "<= 1.0 s", seen <= 1.0, spent
    )
    again = [packed(batch, since=ENTRIES) for batch in batches]
    floor = timed(lambda: push_all(bare, again))
    seen, spent = measured(lambda: counted.append(push_all(real, again)), cpu)
    yield Line(
        what="push them again",
        seen=f"{seen:.2f} s, {counted[-1]} rows",
        floor=f"{floor:.2f} s",
        must="0 rows, <= 1.0 s",
        kept=seen <= 1.0 and counted[-1] == 0,
        cpu=spent,
    )


def put_all(phones: list[BenchPhone], pictures: list[bytes]) -> None:
    """Send pictures over several connections at once."""
    for phone in phones:
        phone.hang_up()  # what was kept open may have ended meanwhile
    shares = [pictures[place :: len(phones)] for place in range(len(phones))]
    with ThreadPoolExecutor(len(phones)) as pool:
        list(
            pool.map(
                lambda pair: [pair[0].put_photo(one) for one in pair[1]], zip(phones, shares, strict=True)
            )
        )


def get_all(phones: list[BenchPhone], names: list[str], *, query: str = "") -> None:
    """Fetch pictures over several connections at once."""
    for phone in phones:
        phone.hang_up()
    shares = [names[place :: len(phones)] for place in range(len(phones))]

    def fetch(pair: tuple[BenchPhone, list[str]]) -> None:
        for name in pair[1]:
            assert pair[0].call("GET", f"/api/photos/{name}{query}").status == 200

    with ThreadPoolExecutor(len(phones)) as pool:
        list(pool.map(fetch, zip(phones, shares, strict=True)))


def photo_lines(
    real: list[BenchPhone], bare: list[BenchPhone], shaky: ShakyPhone, *, cpu: Cpu
) -> Iterator[Line]:
    """Send and fetch 200 photos, then 200 others over a link that breaks."""
    made = photos(count=2 * PHOTOS, about_bytes=300_000)
    pictures, others = made[:PHOTOS], made[PHOTOS:]
    names = [hashlib.sha256(one).hexdigest() for one in pictures]
    size = sum(map(len, pictures))
    floor = timed(lambda: put_all(bare, pictures))
    before = sum(one.sent for one in real)
    seen, spent = measured(lambda: put_all(real, pictures), cpu)
    ratio = (sum(one.sent for one in real) - before) / size
    what = f"{PHOTOS} photos of {size // PHOTOS // 1000} KB, {AT_ONCE} at a time"
    yield Line(
        f"{what}: send",
        f"{seen:.2f} s, {ratio:.3f}x bytes",
        f"{floor:.2f} s",
        "<= 1.6 s, <= 1.01x",
        seen <= 1.6 and ratio <= 1.01,
        spent,
    )
    floor = timed(lambda: get_all(bare, names))
    seen, spent = measured(lambda: get_all(real, names), cpu)
    yield Line(f"{what}: fetch", f"{seen:.2f} s", f"{floor:.2f} s", "<= 1.5 s", seen <= 1.5, spent)
    seen, spent = measured(lambda: get_all(real, names, query="?small=1"), cpu)
    what_small = f"{PHOTOS} small copies, made as they are asked for"
    yield Line(what_small, f"{seen:.2f} s", "-", "-", kept=True, cpu=spent)
    seen, spent = measured(lambda: [shaky.photo_over_cuts(one) for one in others], cpu)
    ratio = shaky.sent / sum(map(len, others))
    whole = sum(
        shaky.call("HEAD", f"/api/photos/{hashlib.sha256(one).hexdigest()}").status == 200 for one in others
    )
    yield Line(
        f"{PHOTOS} photos, link cut every 0.1-2 MB",
        f"{whole}/{PHOTOS}, {seen:.2f} s, {ratio:.2f}x bytes",
        "-",
        f"{PHOTOS}/{PHOTOS}, <= 1.30x",
        whole == PHOTOS and ratio <= 1.30,
        spent,
    )


def crowd_line(crowd: list[BenchPhone], port: int, *, cpu: Cpu) -> Line:
    """Let 200 phones push 50 entries each in the same moment."""

    def latencies(phones: list[BenchPhone]) -> list[float]:
        bodies = [packed([entry() for _ in range(50)], since=10**9) for _ in phones]
        start = threading.Barrier(len(phones))

        def one(pair: tuple[BenchPhone, bytes]) -> float:
            start.wait()
            return timed(lambda: pair[0].sync(pair[1]))

        with ThreadPoolExecutor(len(phones)) as pool:
            return sorted(pool.map(one, zip(phones, bodies, strict=True)))

    floor = latencies([BenchPhone(port) for _ in crowd])
    before = cpu()
    seen = latencies(crowd)
    spent = f"{cpu() - before:.2f} s"
    p99, floor_p99 = seen[int(len(seen) * 0.99) - 1], floor[int(len(floor) * 0.99) - 1]
    return Line(
        f"{PHONES} phones x 50 entries at once",
        f"p50 {statistics.median(seen) * 1000:.0f} ms, p99 {p99 * 1000:.0f} ms, 0 errors",
        f"p99 {floor_p99 * 1000:.0f} ms",
        "p99 <= 1200 ms, 0 errors",
        p99 <= 1.2,
        spent,
    )


def crawl_line(phone: BenchPhone, slow: list[BenchPhone]) -> Line:
    """Push text while two large photos crawl in."""
    pictures = photos(count=2, about_bytes=5_000_000, width=2048, height=1536)
    done: list[int] = []

    def crawl(pair: tuple[BenchPhone, bytes]) -> None:
        name = hashlib.sha256(pair[1]).hexdigest()
        for offset in range(0, len(pair[1]), PART):
            status = pair[0].part(name, pair[1], offset=offset).status
            time.sleep(0.25)
        done.append(status)

    for one in (phone, *slow):
        one.hang_up()
    crawling = [threading.Thread(target=crawl, args=[pair]) for pair in zip(slow, pictures, strict=True)]
    for thread in crawling:
        thread.start()
    took = []
    while any(thread.is_alive() for thread in crawling):
        took.append(timed(lambda: phone.sync(packed([entry()], since=10**9))))
        time.sleep(0.02)
    p50 = statistics.median(took) * 1000
    size = min(map(len, pictures)) / 1e6
    return Line(
        f"text while two photos of {size:.1f} MB crawl in",
        f"p50 {p50:.0f} ms of {len(took)} pushes, {done.count(201)}/2 photos whole",
        "-",
        "p50 <= 20 ms, both whole",
        p50 <= 20 and done == [201, 201],
    )
