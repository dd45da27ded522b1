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
    # LabS holds L* as 0 ... 32767; shifted, it fills 16 bits without a pass through floating point.
    grey = image.colourspace("labs").extract_band(0).cast("ushort") << 1
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
        # Slow and quick waves with the grain of a small sensor: as much for a decoder to do as a photograph.
        small = pyvips.Image.gaussnoise(width // 50, height // 50, mean=128, sigma=45)
        grain = pyvips.Image.gaussnoise(width, height, mean=0, sigma=5)
        grey = (small.resize(50, kernel="cubic") + grain).cast("uchar")
        tinted = [grey, (grey * 0.9 + 14).cast("uchar"), (grey * 0.8 + 20).cast("uchar")]
        tinted[0].bandjoin(tinted[1:]).copy(interpretation="srgb").write_to_file(job["make"], Q=92)
        assert pyvips.Image.new_from_file(job["make"])[0].deviate() > 20, "the picture shows something"
        print(json.dumps({"bytes": os.path.getsize(job["make"])}), flush=True)
        continue
    began = time.perf_counter()
    width, height = film(job["source"], job["target"], job["scale"])
    spent = time.perf_counter() - began
    size = os.path.getsize(job["target"])
    os.remove(job["target"])
    print(json.dumps({"seconds": spent, "bytes": size, "width": width, "height": height}), flush=True)
