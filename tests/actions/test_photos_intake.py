"""What is kept of a photo: the picture, upright and small enough, and nothing else."""

from collections.abc import Iterator
from io import BytesIO

import pytest
from PIL import Image, ImageCms

from server.actions.photos_intake import (
    LONGEST_PX,
    MOST_BYTES,
    MOST_PIXELS,
    SMALL_PX,
    NoPhotoError,
    own_form,
    taken,
)

ORIENTATION, GPS, MAKER = 0x0112, 0x8825, 0x010F
"""Tags of Exif 2.32 (CIPA DC-008), tables 4 and 15."""


def photo(size: tuple[int, int] = (400, 300), kind: str = "JPEG", **written: object) -> bytes:
    """A picture whose left half is blue and whose right half is orange."""
    image = Image.new("RGB", size, "orange")
    image.paste("blue", (0, 0, size[0] // 2, size[1]))
    out = BytesIO()
    image.save(out, kind, **written)
    return out.getvalue()


def picture(body: bytes) -> Image.Image:
    return Image.open(BytesIO(body))


def markers(body: bytes) -> Iterator[int]:
    """The segment markers of a JPEG up to its scan (ITU-T T.81, annex B)."""
    at = 2
    while True:
        yield body[at + 1]
        if body[at + 1] == 0xDA:
            return
        at += 2 + int.from_bytes(body[at + 2 : at + 4], "big")


def is_blue(image: Image.Image, x: int, y: int) -> bool:
    red, _, blue = image.getpixel((x, y))  # type: ignore[misc]
    return bool(blue > red)


def test_a_large_photo_is_scaled_down_and_a_small_one_is_left_at_its_size() -> None:
    large, small = taken(photo((4000, 2000))), taken(photo((400, 300)))

    assert picture(large.picture).size == (large.width_px, large.height_px) == (LONGEST_PX, LONGEST_PX // 2)
    assert max(picture(large.small).size) == SMALL_PX
    assert picture(small.picture).size == (400, 300)
    assert large.sha == taken(photo((4000, 2000))).sha


def test_a_photo_taken_with_the_tablet_on_its_side_stands_upright() -> None:
    """Orientation 6: the first row of what is stored is the right side of what was seen (Exif 2.32)."""
    exif = Image.Exif()
    exif[ORIENTATION] = 6

    kept = taken(photo((400, 300), exif=exif))

    upright = picture(kept.picture)
    assert (kept.width_px, kept.height_px) == upright.size == (300, 400)
    assert is_blue(upright, 150, 20)
    assert not is_blue(upright, 150, 380)


def test_place_camera_comment_and_profile_do_not_come_along() -> None:
    exif = Image.Exif()
    exif[MAKER] = "Camera of somebody"
    exif.get_ifd(GPS)[1] = "N"
    exif.get_ifd(GPS)[2] = (54.0, 19.0, 12.5)
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    body = photo(exif=exif, comment=b"at the mooring", xmp=b"<x:xmpmeta place='here'/>", icc_profile=profile)
    assert {0xE1, 0xE2, 0xFE} <= set(markers(body))

    kept = taken(body)

    for part in (kept.picture, kept.small):
        assert set(markers(part)) <= {0xE0, 0xDB, 0xC0, 0xC4, 0xDA}
        assert not picture(part).getexif()
        for word in (b"Camera", b"mooring", b"xmpmeta", b"Exif"):
            assert word not in part


def test_text_in_a_png_does_not_come_along_and_transparent_parts_show_paper() -> None:
    out = BytesIO()
    Image.new("RGBA", (40, 30), (0, 0, 0, 0)).save(out, "PNG", description="at the mooring")

    kept = taken(out.getvalue())

    assert picture(kept.picture).format == "JPEG"
    assert picture(kept.picture).getpixel((20, 15)) == (255, 255, 255)
    assert b"mooring" not in kept.picture


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_other_kinds_of_photo_are_taken_too(kind: str) -> None:
    assert is_blue(picture(taken(photo(kind=kind)).picture), 20, 150)


@pytest.mark.parametrize(
    ("body", "said"),
    [
        (b"", "no JPEG, PNG or WebP"),
        (b"%PDF-1.7 and so on", "no JPEG, PNG or WebP"),
        (photo(kind="GIF"), "no JPEG, PNG or WebP"),
        (photo()[:-200], "damaged or not whole"),
        (photo(kind="PNG")[:-40], "damaged or not whole"),
        (photo((4, 300)), "too small"),
        (b"\xff" * (MOST_BYTES + 1), "15 MB at most"),
    ],
)
def test_what_is_no_whole_picture_is_refused(body: bytes, said: str) -> None:
    with pytest.raises(NoPhotoError, match=said):
        taken(body)


@pytest.mark.parametrize("side", [8_000, 10_000, 20_000])
def test_a_small_file_that_would_unfold_to_a_huge_picture_is_refused_unread(side: int) -> None:
    """Just above our own limit, above the library's warning, and above its error."""
    out = BytesIO()
    Image.new("1", (side, side)).save(out, "PNG")
    assert len(out.getvalue()) < 100_000
    assert side**2 > MOST_PIXELS

    with pytest.raises(NoPhotoError, match="50 million pixels at most"):
        taken(out.getvalue())


def test_a_photo_in_the_kept_form_stays_as_it_is() -> None:
    kept = taken(photo((4000, 2000)))

    again = own_form(kept.picture)
    assert (again.picture, again.sha, again.width_px, again.height_px) == (
        kept.picture,
        kept.sha,
        LONGEST_PX,
        LONGEST_PX // 2,
    )
    assert max(picture(again.small).size) == SMALL_PX


def _with_comment(body: bytes) -> bytes:
    return body[:2] + b"\xff\xfe\x00\x06here" + body[2:]


def _with_a_small_one_inside(body: bytes) -> bytes:
    """A JFIF segment may end in a small picture of one red pixel (ITU-T T.871, clause 10.1)."""
    return body[:4] + b"\x00\x13" + body[6:18] + b"\x01\x01\xff\x00\x00" + body[20:]


@pytest.mark.parametrize(
    "body",
    [
        photo((LONGEST_PX + 1, 300)),
        photo(kind="PNG"),
        photo(progressive=True),
        photo(comment=b"here"),
        _with_comment(taken(photo()).picture),
        taken(photo()).picture + b"more",
        taken(photo()).picture[:-2] + b"\xff\xfe\x00\x06here\xff\xd9",
        _with_a_small_one_inside(taken(photo()).picture),
    ],
)
def test_another_form_is_not_taken_for_our_own(body: bytes) -> None:
    with pytest.raises(NoPhotoError):
        own_form(body)
