"""The layout of a sheet of transfers, as a picture."""

from quotelib.chapters.transfers import layout
from quotelib.pictures.drawing import LETTER, box, drawing, text, width_of


def sheet_layout_svg(
    sheet_w_mm: float,
    sheet_h_mm: float,
    image_w_mm: float,
    image_h_mm: float,
    gutter_mm: float = 0.0,
    margin_mm: float = 0.0,
    gripper_mm: float = 0.0,
    turned: bool = True,
    straight_cuts: bool = False,
) -> str:
    """The sheet with its images as UP_PER_SHEET counts them: true to scale, the gripper edge below.

    Images are of class "image", those turned by a quarter of class "image turned" and shaded.  In each an arrow points to
    its top.
    """
    images = layout(sheet_w_mm, sheet_h_mm, image_w_mm, image_h_mm, gutter_mm, margin_mm, gripper_mm, turned, straight_cuts)
    unit = max(sheet_w_mm, sheet_h_mm) / 100
    line = min(unit * 0.18, min(image_w_mm, image_h_mm) / 60)
    count = len(images)
    quarter = sum(image.turned for image in images)
    title = f"{count} {'image' if count == 1 else 'images'} of {image_w_mm:.12g} x {image_h_mm:.12g} mm on a sheet"
    facts = [f"Sheet {sheet_w_mm:.12g} x {sheet_h_mm:.12g} mm"]
    facts += [
        f"{name} {size:.12g} mm"
        for name, size in (("gutter", gutter_mm), ("margin", margin_mm), ("gripper", gripper_mm))
        if size
    ]
    key = ["Gripper edge hatched"] if gripper_mm else []
    key += [f"{quarter} turned by a quarter, shaded"] if quarter else []
    shapes = [
        text(0, -unit * 5.4, title, unit * 3, weight="bold"),
        text(0, -unit * 1.8, ", ".join(facts), unit * 2),
        text(0, sheet_h_mm + unit * 3.2, "; ".join(key), unit * 2),
        box(0, 0, sheet_w_mm, sheet_h_mm, "sheet", "#ffffff", line * 1.6),
    ]
    if gripper_mm:
        shapes.append(box(0, sheet_h_mm - gripper_mm, sheet_w_mm, gripper_mm, "gripper", "url(#rising)", line))
    if margin_mm:
        room_h = sheet_h_mm - 2 * margin_mm - gripper_mm
        shapes.append(
            box(margin_mm, margin_mm, sheet_w_mm - 2 * margin_mm, room_h, "room", "none", line, f"{unit:.4g} {unit:.4g}")
        )
    for number, (x, up, w, h, is_turned) in enumerate(images, 1):
        y = sheet_h_mm - up - h
        fill = "#dcdcdc" if is_turned else "#ffffff"
        shapes.append(box(x, y, w, h, "image turned" if is_turned else "image", fill, line))
        size = min(unit * 3, h * 0.4, w * (0.5 if is_turned else 0.8) / (LETTER * len(str(number))))
        shapes.append(text(x + w / 2, y + h / 2 + size * 0.36, str(number), size, "middle"))
        tip = min(w, h) * 0.12
        shapes.append(
            f'<path d="M{x + tip:.4f} {y + h / 2:.4f}l{tip:.4f} {-tip / 2:.4f}v{tip:.4f}z"/>'
            if is_turned
            else f'<path d="M{x + w / 2:.4f} {y + tip:.4f}l{-tip / 2:.4f} {tip:.4f}h{tip:.4f}z"/>'
        )
    edge = unit * 3
    width = max(sheet_w_mm, width_of(title, unit * 3.3), width_of(", ".join(facts), unit * 2)) + 2 * edge
    return drawing(title, -edge, -unit * 10, width, sheet_h_mm + unit * 15, shapes, unit / 4)
