"""The peer of the film bench: libvips through its Python interface, one job a line of standard input.

Same work as a film: JPEG of 24 MP, to L*, enlarged 1.44 times a side, 65,536-entry table, mirrored, written as
16-bit TIFF (uncompressed) or PNG (default level). Sequential access; start-up is not counted.
"""

import json
import os
import sys
import time

import pyvips


def film(source, target, scale):
    image = pyvips.Image.new_from_file(source, access="sequential")
    lightness = image.colourspace("labs").extract_band(0)
    # LabS holds L* as 0 ... 32767; the table wants 0 ... 65535.
    grey = (lightness.cast("float") * (65535 / 32767)).cast("ushort")
    large = grey.resize(scale, kernel="lanczos3")
    table = (pyvips.Image.identity(ushort=True) * -1 + 65535).cast("ushort")
    film = large.maplut(table).fliphor().copy(interpretation="grey16")
    film.write_to_file(target)
    return film.width, film.height


print(json.dumps({"version": f"libvips {pyvips.version(0)}.{pyvips.version(1)}.{pyvips.version(2)}"}), flush=True)
for line in sys.stdin:
    job = json.loads(line)
    if job.get("make"):
        width, height = job["width"], job["height"]
        wave = pyvips.Image.perlin(width, height, cell_size=256) * 0.5 + pyvips.Image.gaussnoise(width, height, sigma=0.03)
        noise = pyvips.Image.perlin(width, height, cell_size=31) * 0.2
        grey = ((wave + noise) * 90 + 128).cast("uchar")
        grey.bandjoin([grey.rot180(), grey.fliphor()]).copy(interpretation="srgb").write_to_file(job["make"], Q=92)
        print(json.dumps({"bytes": os.path.getsize(job["make"])}), flush=True)
        continue
    began = time.perf_counter()
    width, height = film(job["source"], job["target"], job["scale"])
    spent = time.perf_counter() - began
    size = os.path.getsize(job["target"])
    os.remove(job["target"])
    print(json.dumps({"seconds": spent, "bytes": size, "width": width, "height": height}), flush=True)
