from xml.etree.ElementTree import Element, TreeBuilder
from xml.etree.ElementTree import ParseError as ParseError

class _Position:
    # The expat parser below, as far as it is needed.
    CurrentLineNumber: int

class DefusedXMLParser:
    parser: _Position
    def __init__(
        self,
        html: object = ...,
        target: TreeBuilder | None = None,
        encoding: str | None = None,
        forbid_dtd: bool = False,
        forbid_entities: bool = True,
        forbid_external: bool = True,
    ) -> None: ...
    def feed(self, data: bytes | str) -> None: ...
    def close(self) -> Element: ...
