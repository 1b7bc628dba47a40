# The part of defusedxml 0.7 that this project uses, typed.

from defusedxml.common import DefusedXmlException as DefusedXmlException
