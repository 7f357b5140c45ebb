"""A page as a reader sees it: opened at a width, light, dark or for print, and all that it gave rise to.

Arrives: a browser and a file. Leaves: what was said on the console, what was asked for, values worked
out on the page, screenshots, and the printed PDF. Start reading at ``Seen``.
"""

from __future__ import annotations

import base64
from pathlib import Path
from typing import Any

from tests.browser.chromium import Chromium

WIDE, NARROW = 1280, 390  # pixels: a laptop's window, and a common phone's
MILLIMETRE = 1 / 25.4  # inches, in which the browser measures paper
PIXELS = 96  # to the inch, in which the browser measures a screen
A4 = (210 * MILLIMETRE, 297 * MILLIMETRE)  # ISO 216


class Seen:
    """A page open in a tab of its own. Close it, or use it in a ``with`` statement."""

    def __init__(
        self,
        browser: Chromium,
        file: Path,
        width: int = WIDE,
        scheme: str = "light",
        fragment: str = "",
        script: bool = True,
    ) -> None:
        """Open a file.

        Args:
            browser: the browser.
            file: the page.
            width: of the window, in pixels.
            scheme: ``light`` or ``dark``.
            fragment: the place to open it at, without #.
            script: whether the page's own script runs.
        """
        self.address = file.resolve().as_uri() + (f"#{fragment}" if fragment else "")
        self._browser = browser
        self._target = browser.ask("Target.createTarget", url="about:blank")["targetId"]
        attached = browser.ask("Target.attachToTarget", targetId=self._target, flatten=True)
        self._session = attached["sessionId"]
        self._since = len(browser.events)
        for domain in ("Page", "Runtime", "Log", "Network"):
            self.ask(f"{domain}.enable")
        self.ask("Performance.enable", timeDomain="threadTicks")
        self.resize(width)
        self.ask("Emulation.setEmulatedMedia", features=[{"name": "prefers-color-scheme", "value": scheme}])
        self.ask("Emulation.setScriptExecutionDisabled", value=not script)
        self.ask("Page.navigate", url=self.address)
        self.wait("Page.loadEventFired")

    def __enter__(self) -> Seen:
        """Give the page itself."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close the tab."""
        self._browser.ask("Target.closeTarget", targetId=self._target)
        del self._browser.events[self._since :]

    def ask(self, method: str, **params: object) -> dict[str, Any]:
        """Send a command to this tab and give its answer."""
        return self._browser.ask(method, self._session, **params)

    def wait(self, method: str) -> None:
        """Wait until this tab has reported something; every dialog that opens meanwhile is dismissed."""
        dismissed, dialog = 0, "Page.javascriptDialogOpening"
        while not self.events(method):
            if len(self.events(dialog)) > dismissed:
                dismissed += 1
                self.ask("Page.handleJavaScriptDialog", accept=False)
            else:
                self._browser.listen()

    def events(self, *methods: str) -> list[dict[str, Any]]:
        """Give what this tab has reported, or only reports of these names."""
        mine = [one for one in self._browser.events[self._since :] if one.get("sessionId") == self._session]
        return [one for one in mine if not methods or one["method"] in methods]

    def complaints(self) -> list[str]:
        """Give everything that the console would show, errors of scripts and dialogs among it."""
        self.ask("Runtime.evaluate", expression="0")  # what was still under way has been reported then
        methods = ("Runtime.consoleAPICalled", "Runtime.exceptionThrown", "Log.entryAdded")
        found = self.events(*methods, "Page.javascriptDialogOpening")
        return [f"{one['method']}: {str(one['params'])[:2000]}" for one in found]

    def requests(self) -> list[str]:
        """Give every address the page asked for, but its own and data that it holds itself."""
        asked = [one["params"]["request"]["url"] for one in self.events("Network.requestWillBeSent")]
        own = self.address.split("#")[0]
        return [one for one in asked if one.split("#")[0] != own and not one.startswith("data:")]

    def value(self, script: str) -> Any:
        """Give what a script works out on the page; a promise is waited for.

        Raises:
            RuntimeError: the script fails.
        """
        answer = self.ask(
            "Runtime.evaluate", expression=script, returnByValue=True, awaitPromise=True, timeout=60_000
        )
        if "exceptionDetails" in answer:
            raise RuntimeError(str(answer["exceptionDetails"])[:1000])
        return answer["result"].get("value")

    def processor(self) -> float:
        """Give the seconds of the processor that the page has taken so far, whatever else runs beside it."""
        metrics = self.ask("Performance.getMetrics")["metrics"]
        return float(next(one["value"] for one in metrics if one["name"] == "TaskDuration"))

    def resize(self, width: int, height: int = 900) -> None:
        """Give the window another size, in pixels; a narrow one behaves as a phone's."""
        phone = width < 600
        self.ask(
            "Emulation.setDeviceMetricsOverride",
            width=width,
            height=height,
            deviceScaleFactor=1,
            mobile=phone,
        )

    def draw_all(self) -> None:
        """Have drawn what the browser leaves for when it is scrolled to."""
        self.value(
            "document.adoptedStyleSheets.push(new CSSStyleSheet()),"
            "document.adoptedStyleSheets.at(-1).replaceSync('* { content-visibility: visible !important }')"
        )

    def unfold(self) -> None:
        """Open all that is folded, and have all of it drawn."""
        self.value("document.querySelectorAll('details').forEach((one) => { one.open = true })")
        self.draw_all()

    def for_print(self) -> None:
        """Show the page as it is set for print, as wide as A4 is between the margins it asks for."""
        margin = self.value(
            "[...document.styleSheets].flatMap((sheet) => [...sheet.cssRules])"
            ".find((rule) => rule instanceof CSSPageRule).style.marginRight"
        )
        between = A4[0] - 2 * float(margin.removesuffix("mm")) * MILLIMETRE
        self.resize(round(between * PIXELS))
        self.ask("Emulation.setEmulatedMedia", media="print")

    def height(self) -> int:
        """Give the height of the whole page, in pixels."""
        return int(self.value("Math.ceil(document.documentElement.getBoundingClientRect().height)"))

    def top_of(self, anchor: str) -> int:
        """Give how far down the page an anchor stands, in pixels."""
        return int(self.value(f"scrollY + document.getElementById({anchor!r}).getBoundingClientRect().top"))

    def slice(self, top: int, width: int, height: int) -> bytes:
        """Give a screenshot of a part of the page as a PNG file."""
        clip = {"x": 0, "y": top, "width": width, "height": height, "scale": 1}
        shot = self.ask("Page.captureScreenshot", format="png", clip=clip, captureBeyondViewport=True)
        return base64.b64decode(shot["data"])

    def pdf(self) -> bytes:
        """Give the page as it is printed, on the paper that it asks for."""
        shot = self.ask(
            "Page.printToPDF", preferCSSPageSize=True, printBackground=False, paperWidth=8.5, paperHeight=11
        )
        return base64.b64decode(shot["data"])
