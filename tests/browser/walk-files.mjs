// Files the walk reads and makes, byte by byte, independent of the page's own code.
import { PNG } from 'pngjs';

/**
 * A 16-bit grey TIFF: { width, height, ppi, description, at(x, y) }. Throws if it is anything else (TIFF Revision 6.0,
 * 1992: header p. 13, fields p. 14, baseline grey p. 17 ff.).
 */
export function readTiff(bytes) {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const order = String.fromCharCode(bytes[0], bytes[1]);
  const little = order === 'II';
  if ((!little && order !== 'MM') || view.getUint16(2, little) !== 42) throw new Error('no TIFF');
  const size = { 2: 1, 3: 2, 4: 4, 5: 8 };
  const fields = new Map();
  const directory = view.getUint32(4, little);
  for (let i = 0; i < view.getUint16(directory, little); i++) {
    const entry = directory + 2 + 12 * i;
    const [kind, count] = [view.getUint16(entry + 2, little), view.getUint32(entry + 4, little)];
    const at = size[kind] * count <= 4 ? entry + 8 : view.getUint32(entry + 8, little);
    const values = Array.from({ length: count }, (_, k) => {
      const place = at + k * size[kind];
      if (kind === 3) return view.getUint16(place, little);
      if (kind === 4) return view.getUint32(place, little);
      if (kind === 5) return view.getUint32(place, little) / view.getUint32(place + 4, little);
      return view.getUint8(place);
    });
    fields.set(view.getUint16(entry, little), values);
  }
  const one = (tag) => fields.get(tag)?.[0];
  const must = { 258: 16, 259: 1, 262: 1, 277: 1, 296: 2 };
  for (const [tag, value] of Object.entries(must)) {
    if (one(Number(tag)) !== value) throw new Error(`tag ${tag} is ${one(Number(tag))}, not ${value}`);
  }
  if (one(282) !== one(283)) throw new Error('two resolutions');
  const [width, height, rows] = [one(256), one(257), one(278)];
  const strips = fields.get(273);
  const needed = fields.get(279).reduce((sum, count) => sum + count, 0);
  if (needed !== width * height * 2) throw new Error(`strips of ${needed} bytes`);
  return {
    width,
    height,
    ppi: one(282),
    description: String.fromCharCode(...(fields.get(270) ?? [])).replace(/\0$/, ''),
    at: (x, y) => view.getUint16(strips[Math.floor(y / rows)] + ((y % rows) * width + x) * 2, little),
  };
}

/** A 16-bit grey PNG, in the same shape (ISO/IEC 15948:2004, 11.2.2 and 11.3.5.3). */
export function readPng(bytes) {
  const chunks = chunksOf(bytes);
  const head = chunks.find(({ name }) => name === 'IHDR').data;
  if (head[8] !== 16 || head[9] !== 0) throw new Error(`${head[8]} bit, colour type ${head[9]}`);
  const dense = chunks.find(({ name }) => name === 'pHYs').data;
  if (dense[8] !== 1 || dense.readUInt32BE(0) !== dense.readUInt32BE(4)) throw new Error('no resolution in metres');
  const { width, height, data } = PNG.sync.read(bytes, { skipRescale: true });
  return {
    width,
    height,
    ppi: dense.readUInt32BE(0) * 0.0254,
    description: chunks
      .filter(({ name }) => name === 'tEXt')
      .map(({ data }) => data.toString('latin1'))
      .join('\n'),
    at: (x, y) => data[(y * width + x) * 4],
  };
}

function chunksOf(bytes) {
  const chunks = [];
  for (let at = 8; at < bytes.length; ) {
    const length = bytes.readUInt32BE(at);
    chunks.push({ name: bytes.toString('latin1', at + 4, at + 8), data: bytes.subarray(at + 8, at + 8 + length) });
    at += length + 12;
  }
  return chunks;
}

/** Columns and rows of the test picture, and the side of a step in pixels. */
export const chart = { columns: 5, rows: 4, step: 80 };

/** sRGB codes of its twenty steps, in reading order: no two alike, and no row or column is a mirror of itself. */
export const codes = [0, 148, 27, 201, 94, 13, 255, 67, 121, 228, 40, 174, 81, 242, 108, 54, 188, 134, 215, 161];

/** A PNG of those steps, 8 bit. */
export function stepPicture() {
  const { columns, rows, step } = chart;
  const picture = new PNG({ width: columns * step, height: rows * step });
  for (let y = 0; y < picture.height; y++) {
    for (let x = 0; x < picture.width; x++) {
      const code = codes[Math.floor(y / step) * columns + Math.floor(x / step)];
      picture.data.set([code, code, code, 255], (y * picture.width + x) * 4);
    }
  }
  return PNG.sync.write(picture, { colorType: 0 });
}

/** A small TIFF, little-endian: `fields` are [tag, kind, value] with kind 3 SHORT or 4 LONG. */
export function tiff(fields, pixels) {
  const all = [...fields].sort(([a], [b]) => a - b);
  const head = Buffer.alloc(8 + 2 + 12 * all.length + 4);
  head.write('II*\0', 0, 'latin1');
  head.writeUInt32LE(8, 4);
  head.writeUInt16LE(all.length, 8);
  all.forEach(([tag, kind, value], i) => {
    const at = 10 + 12 * i;
    head.writeUInt16LE(tag, at);
    head.writeUInt16LE(kind, at + 2);
    head.writeUInt32LE(1, at + 4);
    const shown = value === 'pixels' ? head.length : value;
    if (kind === 3) head.writeUInt16LE(shown, at + 8);
    else head.writeUInt32LE(shown, at + 8);
  });
  return Buffer.concat([head, pixels]);
}

/** A grey TIFF of 8 bits that claims to be so large. */
export function greyTiff(width, height, pixels = Buffer.alloc(width * height, 128)) {
  return tiff(
    [[256, 4, width], [257, 4, height], [258, 3, 8], [259, 3, 1], [262, 3, 1], [273, 4, 'pixels'], [277, 3, 1],
      [278, 4, height], [279, 4, pixels.length]],
    pixels,
  );
}

/** A TIFF of four inks (photometric 5, TIFF 6.0 p. 69), with a single grey of 8 bits in BitsPerSample for brevity. */
export function inkTiff() {
  const bits = Buffer.alloc(8);
  for (let i = 0; i < 4; i++) bits.writeUInt16LE(8, 2 * i);
  const fields = [[256, 4, 4], [257, 4, 4], [259, 3, 1], [262, 3, 5], [273, 4, 0], [277, 3, 4], [278, 4, 4], [279, 4, 64]];
  const made = tiff([...fields, [258, 3, 0]], Buffer.concat([bits, Buffer.alloc(64, 30)]));
  const first = 10 + 12 * 9 + 4;
  const entry = (tag) => 10 + 12 * [256, 257, 258, 259, 262, 273, 277, 278, 279].indexOf(tag);
  made.writeUInt32LE(4, entry(258) + 4);
  made.writeUInt32LE(first, entry(258) + 8);
  made.writeUInt32LE(first + 8, entry(273) + 8);
  return made;
}

/** The head of a JPEG with four components and the Adobe marker that says inks (ITU-T T.81 B.2.2; T.872 6.5.3). */
export function inkJpeg() {
  const segment = (marker, data) => {
    const head = Buffer.from([0xff, marker, 0, 0]);
    head.writeUInt16BE(data.length + 2, 2);
    return Buffer.concat([head, data]);
  };
  const adobe = Buffer.concat([Buffer.from('Adobe', 'latin1'), Buffer.from([0, 100, 0, 0, 0, 0, 0])]);
  const frame = Buffer.from([8, 0, 8, 0, 8, 4, 1, 0x11, 0, 2, 0x11, 0, 3, 0x11, 0, 4, 0x11, 0]);
  const table = Buffer.concat([Buffer.from([0]), Buffer.alloc(64, 1)]);
  // One code of length 1 in each class: a category of 0.
  const huffman = (id) => Buffer.concat([Buffer.from([id, 1]), Buffer.alloc(15), Buffer.from([0])]);
  const scan = Buffer.from([4, 1, 0, 2, 0, 3, 0, 4, 0, 0, 63, 0]);
  return Buffer.concat([
    Buffer.from([0xff, 0xd8]), segment(0xee, adobe), segment(0xdb, table), segment(0xc0, frame),
    segment(0xc4, huffman(0x00)), segment(0xc4, huffman(0x10)), segment(0xda, scan),
    // 8 bits of zeros and no more: an end of block for each coefficient table, four components.
    Buffer.from([0x00]), Buffer.from([0xff, 0xd9]),
  ]);
}

/** The head of a PNG that claims a size, and nothing behind it. */
export function claimingPng(width, height) {
  const picture = PNG.sync.write(new PNG({ width: 1, height: 1 }), { colorType: 0 });
  picture.writeUInt32BE(width, 16);
  picture.writeUInt32BE(height, 20);
  picture.writeUInt32BE(crc(picture.subarray(12, 29)), 29);
  return picture;
}

/** ISO/IEC 15948 annex D. */
function crc(bytes) {
  let sum = 0xffffffff;
  for (const byte of bytes) {
    sum ^= byte;
    for (let bit = 0; bit < 8; bit++) sum = sum & 1 ? (sum >>> 1) ^ 0xedb88320 : sum >>> 1;
  }
  return (sum ^ 0xffffffff) >>> 0;
}
