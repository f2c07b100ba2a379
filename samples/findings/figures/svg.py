"""What matplotlib drew, made fit to be kept: no styles, names of its own, words of its own."""

from xml.etree import ElementTree as ET

SVG, XLINK = "http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink"
HREF = f"{{{XLINK}}}href"
FAMILY = "Segoe UI, Roboto, Noto Sans, Liberation Sans, Arial, sans-serif"
LEFT_OUT = {f"{{{SVG}}}metadata", f"{{{SVG}}}style"}
REFERENCE = "url(#"

ET.register_namespace("", SVG)
ET.register_namespace("xlink", XLINK)


def finish(drawn: str, *, name: str, alt: str, prefix: str) -> str:
    """Return an SVG with its words.

    Every style becomes attributes, so that it may stand in any page; only names that something
    refers to are kept, with the figure's own prefix.
    """
    root = ET.fromstring(drawn)  # noqa: S314 - drawn by us
    _leave_out(root)
    elements = list(root.iter())
    for element in elements:
        _turn_style_into_attributes(element)
    used = {name for element in elements for name in _references(element)}
    for element in elements:
        _rename(element, used, prefix)
    root.attrib = {"role": "img"} | root.attrib
    for place, (tag, words) in enumerate((("title", name), ("desc", alt))):
        element = ET.Element(f"{{{SVG}}}{tag}")
        element.text = words
        root.insert(place, element)
    return ET.tostring(root, encoding="unicode")


def _leave_out(element: ET.Element) -> None:
    for child in list(element):
        if child.tag in LEFT_OUT:
            element.remove(child)
        else:
            _leave_out(child)


def _turn_style_into_attributes(element: ET.Element) -> None:
    for part in element.attrib.pop("style", "").split(";"):
        name, _, value = (piece.strip() for piece in part.partition(":"))
        if name == "font":
            _set_font(element, value)
        elif name and value:
            element.set(name, value.replace('"', "'"))


def _set_font(element: ET.Element, value: str) -> None:
    """Set weight and size of a font such as "bold 10px 'Noto Sans'", and our family."""
    before, is_sized, _ = value.partition("px ")
    *weight, size = before.split()
    if is_sized:
        element.set("font-size", size)
    if weight:
        element.set("font-weight", weight[-1])
    element.set("font-family", FAMILY)


def _references(element: ET.Element) -> list[str]:
    """Return the names that an element refers to."""
    return [
        value.removeprefix("#").removeprefix(REFERENCE).removesuffix(")")
        for key, value in element.attrib.items()
        if value.startswith(REFERENCE) or (key == HREF and value.startswith("#"))
    ]


def _rename(element: ET.Element, used: set[str], prefix: str) -> None:
    own = element.attrib.pop("id", "")
    if own in used:
        element.set("id", f"{prefix}-{own}")
    for key, value in element.attrib.items():
        if value.startswith(REFERENCE):
            element.set(key, f"{REFERENCE}{prefix}-{value.removeprefix(REFERENCE)}")
        elif key == HREF and value.startswith("#"):
            element.set(key, f"#{prefix}-{value.removeprefix('#')}")
