"""A hill of 20,000 cells: moved as a picture, and sharp again when it rests."""

from many import served

HOW = "performance.getEntriesByName('draw').at(-1)?.detail"
PIXELS = """() => {
  const c = document.getElementById("plan");
  const all = c.getContext("2d").getImageData(0, 0, c.width, c.height).data;
  return all.reduce((sum, v) => (sum * 31 + v) | 0, 7);
}"""


def rested(page):
    """Wait until the plan is sharp; give its pixels as one number."""
    page.wait_for_function(f"{HOW} === 'sharp'")
    return page.evaluate(PIXELS)


def test_many_cells_are_moved_at_once_and_sharp_again_at_rest(new_page):
    page = new_page(width=1300, height=800)
    served(page, 20_000)
    first = rested(page)
    box = page.locator("#plan").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.wheel(0, -300)
    page.mouse.down()
    how = []
    for k in range(1, 9):
        page.mouse.move(x - 7.3 * k, y + 3.1 * k)
        page.evaluate("() => new Promise(requestAnimationFrame)")
        how.append(page.evaluate(HOW))
    page.mouse.up()
    assert "moved" in how  # not drawn anew in each frame
    rest = rested(page)
    assert rest != first
    # drawn whole at the same place, it is the same to the pixel
    for overlay in ("plain", "plants"):
        page.select_option(".bar select >> nth=0", overlay)
        page.evaluate("() => new Promise(requestAnimationFrame)")
    assert rested(page) == rest
