"""Takes probes' messages from a broker: stores first, acknowledges then, comes back when cut off.

Knows MQTT 3.1.1 as far as it is needed here: a session that the broker keeps, QoS 1, retained and
repeated messages. The form of a message is the same as over HTTP (`web.api_probe_models`), with the
token in it. Knows nothing of how a broker is named on the command line.
"""

from __future__ import annotations

import hashlib
import random
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from heapwright.errors import HeapwrightError, NotUnderstood, ServiceProblem, StoreProblem
from heapwright.wording import joined, worded

if TYPE_CHECKING:
    from paho.mqtt.client import Client, MQTTMessage

    from heapwright.workshop.garden import Garden

Tell = Callable[[str], None]
PORT, TLS_PORT = 1883, 8883  # as registered for MQTT
KEEP_ALIVE_S = 60
_FIRST_WAIT_S, _LONGEST_WAIT_S = 1.0, 60.0
#: How long one look at the network takes at most, and so how soon it is noticed that we stop. [s]
_LOOK_S = 0.5
_QOS = 1
_LAST_PARTS = 2  # of a topic: the probe's key and the word


@dataclass(frozen=True, slots=True)
class Broker:
    """Where the broker is and how it is spoken to.

    Attributes
    ----------
    host : str
    port : int
    user, passphrase : str
        "" for a broker without accounts.
    tls : bool
    authority : Path or None
        Certificate to trust, when it is none of the machine's own.

    """

    host: str
    port: int
    user: str = ""
    passphrase: str = ""
    tls: bool = False
    authority: Path | None = None


class Listener:
    """Listens for the probes of one garden until it is stopped.

    Parameters
    ----------
    garden : Garden
    broker : Broker
    topic : str
        What the topics begin with: `topic/KEY/reading` is listened to.
    tell : callable
        Is given one line for whatever happens; never a token.

    """

    def __init__(self, garden: Garden, broker: Broker, topic: str, tell: Tell) -> None:
        self._garden, self._broker, self._topic, self._tell = garden, broker, topic, tell
        self._stopped = False
        self._wait_s = _FIRST_WAIT_S
        self._trouble = ""  # what was told last, so that it is told once
        self._must_come_again = False

    def stop(self) -> None:
        """End `run` soon; may be called from another thread."""
        self._stopped = True

    def run(self) -> None:
        """Listen until stopped, coming back with growing waits whenever the broker is gone."""
        client = self._client()
        while not self._stopped:
            self._must_come_again = False
            try:
                client.connect(self._broker.host, self._broker.port, KEEP_ALIVE_S)
                self._listen(client)
            except OSError as problem:
                self._in_trouble(
                    worded(
                        "The broker cannot be reached: {problem}",
                        problem=problem.strerror or problem,
                    )
                )
            if not self._stopped:
                self._wait()
        client.disconnect()

    def _listen(self, client: Client) -> None:
        while not self._stopped and not self._must_come_again:
            if client.loop(timeout=_LOOK_S) != 0:
                self._in_trouble("The connection to the broker was lost; coming back")
                return
        if self._must_come_again:
            # The broker keeps the session: what was not acknowledged is delivered again.
            client.disconnect()

    def _wait(self) -> None:
        until = time.monotonic() + self._wait_s * random.uniform(0.5, 1.0)
        self._wait_s = min(_LONGEST_WAIT_S, 2 * self._wait_s)
        while not self._stopped and time.monotonic() < until:
            time.sleep(min(_LOOK_S, self._wait_s))

    def _in_trouble(self, what: str) -> None:
        if what != self._trouble:
            self._tell(what)
        self._trouble = what

    def _client(self) -> Client:
        from paho.mqtt.client import Client, MQTTv311
        from paho.mqtt.enums import CallbackAPIVersion

        name = hashlib.sha256(str(self._garden.path.resolve()).encode()).hexdigest()[:12]
        client = Client(
            CallbackAPIVersion.VERSION2,
            client_id=f"heapwright-{name}",
            clean_session=False,  # the broker keeps what comes while nobody listens
            protocol=MQTTv311,
            manual_ack=True,  # acknowledged when it is stored, not when it has arrived
        )
        if self._broker.user:
            client.username_pw_set(self._broker.user, self._broker.passphrase)
        if self._broker.tls:
            authority = self._broker.authority
            client.tls_set(ca_certs=None if authority is None else str(authority))
        client.on_connect = self._on_connect
        client.on_message = self._on_message
        return client

    def _on_connect(
        self, client: Client, _data: Any, _flags: Any, reason: Any, _properties: Any
    ) -> None:
        if reason.is_failure:
            self._in_trouble(worded("The broker refuses: {reason}", reason=reason))
            self._must_come_again = True
            return
        self._wait_s = _FIRST_WAIT_S
        self._trouble = ""
        client.subscribe(f"{self._topic}/+/reading", qos=_QOS)
        self._tell(
            worded(
                "Listening to {topic}/+/reading at {host}",
                topic=self._topic,
                host=self._broker.host,
            )
        )

    def _on_message(self, client: Client, _data: Any, message: MQTTMessage) -> None:
        key = message.topic.split("/")[-_LAST_PARTS]
        try:
            self._take(client, key, message)
        except StoreProblem as problem:
            # Not acknowledged: it is delivered again when we come back.
            self._in_trouble(joined((f"{key}:", problem.sentence())))
            self._must_come_again = True
            return
        except HeapwrightError as problem:
            # It will never be right, so it is not asked for again.
            self._tell(
                worded(
                    "{key}: not stored. {explanation}", key=key, explanation=problem.explanation()
                )
            )
        client.ack(message.mid, message.qos)

    def _take(self, client: Client, key: str, message: MQTTMessage) -> None:
        from heapwright.web.api_probe_models import answer_of, read_message
        from heapwright.workshop.probe_receive import Became, receive

        read = read_message(bytes(message.payload))
        self._check_token(key, read.said.get("token"))
        received = receive(
            self._garden,
            key,
            read.reports,
            sent_at=read.sent_at,
            may_have_waited=True,
            is_repeat=message.dup,
            is_kept=message.retain,
        )
        self._tell(
            worded(
                "{key}: {stored} stored, {there} there already, {refused} refused",
                key=key,
                stored=received.count(Became.STORED),
                there=received.count(Became.ALREADY_THERE),
                refused=received.count(Became.REFUSED),
            )
        )
        if read.said.get("answer") is True:
            answer = answer_of(received).model_dump_json()
            client.publish(f"{self._topic}/{key}/answer", answer, qos=_QOS)

    def _check_token(self, key: str, token: Any) -> None:
        from heapwright.journal.probe_tokens import ProbeTokens

        if not isinstance(token, str) or not ProbeTokens(self._garden.path).is_right(key, token):
            raise NotUnderstood("The token in it is missing or not this probe's")


def broker_of(said: str, *, tls: bool) -> tuple[str, int]:
    """Return host and port of a broker as it was named: HOST, HOST:PORT or [IPv6]:PORT.

    Raises
    ------
    NotUnderstood
        When it names none.

    """
    from urllib.parse import urlsplit

    refused = NotUnderstood(
        worded('"{said}" names no broker', said=said[:60]), instead="Write it as HOST or HOST:PORT"
    )
    try:
        parts = urlsplit(f"//{said.strip()}")
        host, port = parts.hostname, parts.port
        (host or "").encode("idna")  # no name of the network can be longer or have empty parts
    except ValueError as problem:
        raise refused from problem
    if not host or parts.path or parts.username:
        raise refused
    return host, port or (TLS_PORT if tls else PORT)


def checked_topic(said: str) -> str:
    """Return the beginning of the topics, without slashes around it.

    Raises
    ------
    NotUnderstood
        When it holds a sign that topics of MQTT keep for themselves.

    """
    topic = said.strip().strip("/")
    if not topic or any(sign in topic for sign in "+#\x00") or topic.startswith("$"):
        raise NotUnderstood(
            worded('"{said}" cannot begin a topic', said=said[:60]),
            instead="Write a word such as heapwright",
        )
    return topic


def authority_of(path: Path | None) -> Path | None:
    """Return the certificate's file, if there is one to trust.

    Raises
    ------
    ServiceProblem
        When it cannot be read.

    """
    if path is not None and not path.is_file():
        raise ServiceProblem(
            worded("The certificate {path} is not there", path=path),
            instead="Name the broker's authority with --ca",
        )
    return path
