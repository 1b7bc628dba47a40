class TTFontFile:
    charWidths: dict[int, float]
    defaultWidth: float
    def __init__(self, file: str) -> None: ...

class TTFont:
    def __init__(self, name: str, filename: str) -> None: ...
