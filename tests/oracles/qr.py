"""Says what the QR code in a picture holds: `qr.py PICTURE`. The reader is zxing-cpp, which shares no code with the program.

It reads one picture and writes one line; no code in it, or more than one, is an error.
"""

import sys

import zxingcpp
from PIL import Image

with Image.open(sys.argv[1]) as picture:
    found = zxingcpp.read_barcodes(picture.convert("L"))
if len(found) != 1 or "QR" not in str(found[0].format).upper():
    sys.exit(f"{sys.argv[1]}: {len(found)} codes, {[str(one.format) for one in found]}")
print(found[0].text)
