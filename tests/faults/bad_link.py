"""A bad link between one phone and the server: it loses, cuts, repeats and delays what goes through it."""

from __future__ import annotations

import asyncio
import contextlib
import random
import threading
from collections import Counter
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field

PORTAL = (
    b"HTTP/1.1 200 OK\r\nContent-Type: text/html\r\nContent-Length: 7\r\nConnection: close\r\n\r\nSign in"
)
BROKEN = b"HTTP/1.1 502 Bad Gateway\r\nContent-Length: 0\r\nConnection: close\r\n\r\n"
ANSWER_LIMIT_S = 8.0
HOLD_S = 1.0


@dataclass(frozen=True)
class Request:
    """One request as it came, whole."""

    head: bytes
    body: bytes

    @property
    def whole(self) -> bytes:
        return self.head + self.body


@dataclass
class BadLink:
    """One phone's way to the server. `badness` 0 lets everything through; `down` nothing."""

    loop: asyncio.AbstractEventLoop
    upstream_port: int
    chance: random.Random
    badness: float = 0.0
    down: bool = False
    port: int = 0
    under_way: int = 0
    done: Counter[str] = field(default_factory=Counter)
    _server: asyncio.Server | None = None
    _tasks: set[asyncio.Task[None]] = field(default_factory=set)

    def open(self) -> BadLink:
        """Listen on a port of its own."""

        async def listen() -> None:
            self._server = await asyncio.start_server(self._meet, "127.0.0.1", 0)
            self.port = self._server.sockets[0].getsockname()[1]

        asyncio.run_coroutine_threadsafe(listen(), self.loop).result(10)
        return self

    def close(self) -> None:
        """Stop listening and give up what is under way."""

        async def end() -> None:
            assert self._server is not None
            self._server.close()
            for task in self._tasks:
                task.cancel()
            await asyncio.gather(*self._tasks, return_exceptions=True)

        asyncio.run_coroutine_threadsafe(end(), self.loop).result(10)

    async def _meet(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        task = asyncio.current_task()
        assert task is not None
        self._tasks.add(task)
        self.under_way += 1
        try:
            with contextlib.suppress(OSError, EOFError, asyncio.IncompleteReadError, TimeoutError):
                request = await _read_request(reader)
                await self._fate()(request, writer)
        finally:
            self.under_way -= 1
            self._tasks.discard(task)
            with contextlib.suppress(OSError):
                writer.close()

    def _fate(self) -> Callable[[Request, asyncio.StreamWriter], Awaitable[None]]:
        if self.down:
            name = self.chance.choice(["drop", "hold"])
        elif self.chance.random() >= self.badness:
            name = "through"
        else:
            name = self.chance.choice(FATES)
        self.done[name] += 1
        return getattr(self, f"_{name}")

    async def _through(self, request: Request, writer: asyncio.StreamWriter) -> None:
        await _relay(await self._ask(request.whole), writer)

    async def _drop(self, _request: Request, writer: asyncio.StreamWriter) -> None:
        writer.transport.abort()

    async def _hold(self, _request: Request, writer: asyncio.StreamWriter) -> None:
        await asyncio.sleep(self.chance.uniform(0.2, HOLD_S))
        writer.transport.abort()

    async def _lose_answer(self, request: Request, writer: asyncio.StreamWriter) -> None:
        await self._ask(request.whole)
        writer.transport.abort()

    async def _cut_answer(self, request: Request, writer: asyncio.StreamWriter) -> None:
        answer = await self._ask(request.whole)
        await _relay(answer[: self.chance.randrange(len(answer) + 1)], writer)

    async def _cut_request(self, request: Request, writer: asyncio.StreamWriter) -> None:
        """The upload breaks off, and nobody hears of it."""
        await self._ask(self._cut(request), broken_off=True)
        writer.transport.abort()

    async def _cut_request_but_answer(self, request: Request, writer: asyncio.StreamWriter) -> None:
        """The upload breaks off, and what the server says to that comes back."""
        await _relay(await self._ask(self._cut(request), broken_off=True), writer)

    def _cut(self, request: Request) -> bytes:
        return request.whole[: len(request.head) + self.chance.randrange(len(request.body) + 1)]

    async def _delay(self, request: Request, writer: asyncio.StreamWriter) -> None:
        await asyncio.sleep(self.chance.uniform(0.05, 0.8))
        await _relay(await self._ask(request.whole), writer)

    async def _delay_answer(self, request: Request, writer: asyncio.StreamWriter) -> None:
        answer = await self._ask(request.whole)
        await asyncio.sleep(self.chance.uniform(0.05, 1.5))
        await _relay(answer, writer)

    async def _twice_at_once(self, request: Request, writer: asyncio.StreamWriter) -> None:
        answers = await asyncio.gather(self._ask(request.whole), self._ask(request.whole))
        await _relay(self.chance.choice(answers), writer)

    async def _again_later(self, request: Request, writer: asyncio.StreamWriter) -> None:
        """The answer comes back, and some time later the request arrives once more."""
        await _relay(await self._ask(request.whole), writer)
        writer.close()
        await asyncio.sleep(self.chance.uniform(0.1, 1.5))
        await self._ask(request.whole)

    async def _late_ghost(self, request: Request, writer: asyncio.StreamWriter) -> None:
        """The phone hears nothing; long after it has tried again, the request arrives."""
        writer.transport.abort()
        await asyncio.sleep(self.chance.uniform(0.3, 2.0))
        await self._ask(request.whole)

    async def _portal(self, _request: Request, writer: asyncio.StreamWriter) -> None:
        await _relay(PORTAL, writer)

    async def _broken(self, _request: Request, writer: asyncio.StreamWriter) -> None:
        await _relay(BROKEN, writer)

    async def _ask(self, content: bytes, *, broken_off: bool = False) -> bytes:
        reader, writer = await asyncio.open_connection("127.0.0.1", self.upstream_port)
        try:
            writer.write(content)
            await writer.drain()
            if broken_off:
                writer.write_eof()
            return await asyncio.wait_for(reader.read(-1), ANSWER_LIMIT_S)
        finally:
            writer.close()


FATES = (
    *(
        "again_later",
        "broken",
        "cut_answer",
        "cut_request",
        "cut_request_but_answer",
        "delay",
        "delay_answer",
    ),
    *("drop", "hold", "late_ghost", "lose_answer", "portal", "twice_at_once"),
)


async def _relay(content: bytes, writer: asyncio.StreamWriter) -> None:
    writer.write(content)
    await writer.drain()


async def _read_request(reader: asyncio.StreamReader) -> Request:
    head = await reader.readuntil(b"\r\n\r\n")
    length = 0
    for line in head.split(b"\r\n"):
        name, _, value = line.partition(b":")
        if name.strip().lower() == b"content-length":
            length = int(value)
    body = await reader.readexactly(length)
    return Request(head=head.replace(b"connection: keep-alive", b"connection: close"), body=body)


class Links:
    """The loop in which all links live."""

    def __init__(self) -> None:
        self.loop = asyncio.new_event_loop()
        self._thread = threading.Thread(target=self.loop.run_forever, daemon=True)
        self._thread.start()

    def close(self) -> None:
        """End the loop."""
        self.loop.call_soon_threadsafe(self.loop.stop)
        self._thread.join(10)
        self.loop.close()
