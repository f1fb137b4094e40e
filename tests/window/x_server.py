# SPDX-License-Identifier: GPL-3.0-or-later
"""The X server, asked by Blender's own process for what it shows, and told where the mouse is.

Programs that do it (ImageMagick's import, xdotool) have to be started each time: a picture of the
window takes several times as long, and many are looked at.
"""

import ctypes
import struct
import zlib
from functools import cache

import numpy as np

_ALL_PLANES, _Z_PIXMAP = ctypes.c_ulong(0xFFFFFFFF), 2
_PIXEL = 4  # bytes: blue, green, red and one that says nothing


class _Image(ctypes.Structure):
    """Xlib's XImage, as far as it is read here."""

    _fields_ = (
        *((name, ctypes.c_int) for name in ("width", "height", "xoffset", "format")),
        ("data", ctypes.c_void_p),
        *((name, ctypes.c_int) for name in ("byte_order", "bitmap_unit", "bitmap_bit_order")),
        *((name, ctypes.c_int) for name in ("bitmap_pad", "depth", "row_bytes", "pixel_bits")),
        *((name, ctypes.c_ulong) for name in ("red_mask", "green_mask", "blue_mask")),
        ("obdata", ctypes.c_void_p),
        ("create", ctypes.c_void_p),
        ("destroy", ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p)),
    )


class Server:
    """A connection of our own to the server that DISPLAY names; its screen has a size, too."""

    def __init__(self):
        self._x = ctypes.CDLL("libX11.so.6")
        self._test = ctypes.CDLL("libXtst.so.6")
        self._x.XOpenDisplay.restype = ctypes.c_void_p
        self._x.XDefaultRootWindow.restype = ctypes.c_ulong
        self._x.XGetImage.restype = ctypes.POINTER(_Image)
        self._display = ctypes.c_void_p(self._x.XOpenDisplay(None))
        self._root = ctypes.c_ulong(self._x.XDefaultRootWindow(self._display))
        shown = (self._x.XDisplayWidth, self._x.XDisplayHeight)
        self.size = tuple(each(self._display, 0) for each in shown)

    def pixels(self, x, y, width, height):
        """Colours of what of a place lies on the screen: bytes, three a pixel, from the top on."""
        left, top = max(x, 0), max(y, 0)
        across, down = (min(x + width, self.size[0]) - left, min(y + height, self.size[1]) - top)
        place = (left, top, ctypes.c_uint(across), ctypes.c_uint(down))
        image = self._x.XGetImage(self._display, self._root, *place, _ALL_PLANES, _Z_PIXMAP)
        told = image.contents
        raw = ctypes.string_at(told.data, told.row_bytes * told.height)
        told.destroy(image)
        rows = np.frombuffer(raw, np.uint8).reshape(down, told.row_bytes)
        colours = rows[:, : _PIXEL * across].reshape(down, across, _PIXEL)
        return colours[..., 2::-1].tobytes()

    def move(self, x, y):
        """Move the mouse to a place of the screen; it is there when this returns."""
        self._test.XTestFakeMotionEvent(self._display, -1, x, y, ctypes.c_ulong(0))
        self._x.XSync(self._display, 0)


def png(colours, width, height):
    """A picture file (ISO/IEC 15948) of colours as `pixels` gives them, packed in little time."""
    rows = np.frombuffer(colours, np.uint8).reshape(height, 3 * width)
    told = np.pad(rows, ((0, 0), (1, 0)))  # each row begins with a 0: it is not filtered
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    chunks = ((b"IHDR", head), (b"IDAT", zlib.compress(told.tobytes(), 1)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        for kind, data in chunks
    )


@cache
def server():
    """The one connection."""
    return Server()
