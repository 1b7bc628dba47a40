from mido import MetaMessage as MetaMessage
from mido import UnknownMetaMessage as UnknownMetaMessage

class KeySignatureError(Exception): ...
