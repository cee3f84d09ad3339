"""An audit by axe-core of what is on the page: wide and narrow, light and dark, from one page that is loaded once.

Names, roles and order depend neither on tones nor on width: all rules are run once, in the dark those that look at
tones, on a phone those that look at places. A region that has changed is audited alone; axe is put into the page once.
"""

from __future__ import annotations

import json
from functools import cache
from typing import Any, Final

_ALL: Final = ("light", 1440, None)
_DARK: Final = ("dark", 1440, ("color-contrast", "link-in-text-block"))
_NARROW: Final = ("light", 390, ("color-contrast", "scrollable-region-focusable"))


@cache
def _axe() -> str:
    from axe_playwright_python.sync_playwright import Axe

    return str(Axe().axe_script)


def audit(page: Any, region: str = "body") -> None:
    """Fail on every serious or critical finding within the region."""
    page.evaluate("typeof axe === 'undefined'") and page.evaluate(_axe())
    whole = page.viewport_size
    for scheme, width, rules in (_ALL, _DARK, _NARROW):
        page.emulate_media(color_scheme=scheme)
        page.set_viewport_size({"width": width, "height": 900})
        only = {} if rules is None else {"runOnly": {"type": "rule", "values": list(rules)}}
        options = {**only, "resultTypes": ["violations"]}
        found = page.evaluate("([place, how]) => axe.run(place, how)", [region, options])["violations"]
        grave = [
            (v["id"], v["help"], [n["html"][:160] + " | " + n.get("failureSummary", "")[:200] for n in v["nodes"]])
            for v in found
            if v["impact"] in ("serious", "critical")
        ]
        assert grave == [], f"{width}, {scheme}: {json.dumps(grave, indent=1)}"
    page.emulate_media(color_scheme="light")
    page.set_viewport_size(whole)
