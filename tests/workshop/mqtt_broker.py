"""A real broker on a free port for one test, and a board that publishes there.

The broker keeps what it has taken over a proper stop, as a broker at home should be set to.
"""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from paho.mqtt.client import Client, MQTTMessage, MQTTv311
from paho.mqtt.enums import CallbackAPIVersion

from tools import ROOT, broker

PATIENCE_S = 60.0


def wait_for(what: Callable[[], bool], told: str) -> None:
    """Wait until something has come true; fail with words when it never does."""
    give_up = time.monotonic() + PATIENCE_S
    while not what():
        assert time.monotonic() < give_up, f"waited in vain: {told}"
        time.sleep(0.02)


class RealBroker:
    """mosquitto on a free port; it can be stopped, killed and started again."""

    def __init__(self, folder: Path) -> None:
        path = broker.find()
        if path is None:
            pytest.fail(broker.HOW_TO_GET_IT, pytrace=False)
        self._path, self.folder = path, folder
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = int(free.getsockname()[1])
        self._settings = folder / "mosquitto.conf"
        self._running: subprocess.Popen[bytes] | None = None

    def start(self, *, lets_anybody_in: bool = True) -> None:
        """Start it and wait until it answers."""
        # As root it would give up its rights, and then could not write in the folder.
        user = "user root\n" if os.geteuid() == 0 else ""
        self._settings.write_text(
            f"{user}listener {self.port} 127.0.0.1\n"
            f"allow_anonymous {'true' if lets_anybody_in else 'false'}\n"
            f"persistence true\npersistence_location {self.folder}/\n"
            "max_queued_messages 0\n",
            encoding="utf-8",
        )
        self._running = subprocess.Popen(
            [self._path, "-c", str(self._settings)],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        wait_for(self._answers, "the broker starts")

    def _answers(self) -> bool:
        assert self._running is not None
        assert self._running.poll() is None, "the broker did not start"
        with socket.socket() as probe:
            return probe.connect_ex(("127.0.0.1", self.port)) == 0

    def end(self, how: signal.Signals = signal.SIGTERM) -> None:
        """Stop it; by SIGKILL it keeps nothing that it had not written yet."""
        if self._running is not None:
            self._running.send_signal(how)
            self._running.wait()
            self._running = None


class PublishingBoard:
    """A board that publishes with QoS 1 and keeps what the broker has not confirmed."""

    def __init__(self, port: int, key: str, token: str) -> None:
        self.key, self.token = key, token
        self.answers: list[dict[str, Any]] = []
        self._client = Client(
            CallbackAPIVersion.VERSION2, "board", clean_session=False, protocol=MQTTv311
        )
        self._client.reconnect_delay_set(0.05, 0.2)  # type: ignore[arg-type]
        self._client.on_connect = self._listen
        self._client.on_message = self._heard
        self._client.connect_async("127.0.0.1", port)
        self._client.loop_start()

    def _listen(self, client: Client, *_: Any) -> None:
        client.subscribe(f"heapwright/{self.key}/answer", qos=1)

    def _heard(self, _client: Client, _data: Any, message: MQTTMessage) -> None:
        self.answers.append(json.loads(message.payload))

    def publish(self, *readings: dict[str, Any], retain: bool = False, **more: Any) -> Any:
        """Publish a message and return what tells whether the broker has confirmed it."""
        said = {"token": self.token, "readings": list(readings), **more}
        return self.publish_raw(json.dumps(said).encode(), retain=retain)

    def publish_raw(self, payload: bytes, *, retain: bool = False) -> Any:
        """Publish any bytes."""
        return self._client.publish(f"heapwright/{self.key}/reading", payload, qos=1, retain=retain)

    @property
    def is_connected(self) -> bool:
        """Whether the broker is there."""
        return bool(self._client.is_connected())

    def close(self) -> None:
        """Go."""
        self._client.disconnect()
        self._client.loop_stop()


class ListeningProgram:
    """`heapwright listen` as a program of its own, which can be killed at any moment."""

    def __init__(self, port: int, garden: Path) -> None:
        self._command = [sys.executable, "-m", "heapwright", "listen"]
        self._command += ["--broker", f"127.0.0.1:{port}", "--garden", str(garden)]
        self.lines: list[str] = []
        self._running: subprocess.Popen[str] | None = None

    def start(self) -> None:
        """Start it."""
        self._running = subprocess.Popen(
            self._command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
        )
        threading.Thread(target=self._read, args=(self._running,), daemon=True).start()

    def _read(self, running: subprocess.Popen[str]) -> None:
        assert running.stdout is not None
        for line in running.stdout:
            self.lines.append(line.rstrip())

    def has_said(self, words: str) -> bool:
        """Return whether a line it wrote holds these words."""
        return any(words in line for line in self.lines)

    def kill(self) -> None:
        """End it without a word."""
        if self._running is not None:
            self._running.kill()
            self._running.wait()
            self._running = None

    def interrupt(self) -> int:
        """Stop it as Ctrl-C does and return its exit code."""
        assert self._running is not None
        self._running.send_signal(signal.SIGINT)
        code = self._running.wait(PATIENCE_S)
        self._running = None
        return code
