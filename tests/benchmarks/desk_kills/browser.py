"""A browser over the network, as small as can be."""

import re
import urllib.request
import uuid
from http.cookiejar import CookieJar
from typing import Any


class Browser:
    """Comes in by the first address and sends what a page would."""

    def __init__(self, first_address: str) -> None:
        self._address = first_address.partition("/enter")[0]
        self._opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()))
        with self._opener.open(first_address, timeout=60) as page:
            found = re.search(r'name="desk_form" value="([^"]+)"', page.read().decode())
        assert found is not None
        self._value = found[1]

    def get(self, path: str) -> bytes:
        with self._opener.open(self._address + path, timeout=60) as page:
            content: bytes = page.read()
        return content

    def drop(self, name: str, data: bytes, **fields: Any) -> bytes:
        """Drop a recording; returns the answer, JSON."""
        mark = uuid.uuid4().hex
        parts = [
            f'--{mark}\r\nContent-Disposition: form-data; name="{key}"\r\n\r\n{value}\r\n'
            for key, value in fields.items()
        ]
        head = f'--{mark}\r\nContent-Disposition: form-data; name="file"; filename="{name}"\r\n\r\n'
        body = "".join(parts).encode() + head.encode() + data + f"\r\n--{mark}--\r\n".encode()
        request = urllib.request.Request(
            f"{self._address}/recordings",
            data=body,
            headers={
                "Origin": self._address,
                "X-Desk-Form": self._value,
                "Accept": "application/json",
                "Content-Type": f"multipart/form-data; boundary={mark}",
            },
        )
        with self._opener.open(request, timeout=60) as answer:
            content: bytes = answer.read()
        return content
