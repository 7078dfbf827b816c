"""The hill in 3D: it is drawn, its shadows follow the sun, and it rests in between."""

import io

import numpy as np
from drive import Hill
from matplotlib.image import imread


def seen(page):
    """Give the pixels of the 3D view."""
    page.wait_for_timeout(1500)  # software drawing takes its time
    return imread(io.BytesIO(page.locator(".solid canvas").screenshot()))[..., :3]


def test_the_hill_is_drawn_in_3d_and_its_shadows_follow_the_sun(page, serving, bracken):
    Hill(page, serving, bracken).open()
    loaded = []
    page.on("request", lambda request: loaded.append(request.url))
    page.get_by_role("button", name="3D").click()
    page.locator(".solid output", has_text="Sun").wait_for()
    page.locator(".solid .nothing").wait_for(state="detached")
    morning = seen(page)
    assert any("/assets/scene-" in url for url in loaded)  # the 3D part comes only now
    assert len(np.unique((morning * 32).astype(int).reshape(-1, 3), axis=0)) > 50
    assert np.array_equal(seen(page), morning)
    page.locator(".solid input[type=range]").nth(1).fill("16")
    afternoon = seen(page)
    assert np.abs(afternoon - morning).max(axis=2).mean() > 0.01
    page.locator(".solid input[type=range]").nth(1).fill("4")
    page.locator(".solid input[type=range]").nth(0).fill("0")
    assert "The sun is down" in page.locator(".solid output").inner_text()
    page.locator(".solid canvas").press("ArrowLeft")
    assert not np.array_equal(seen(page), afternoon)
