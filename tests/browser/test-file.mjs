// What the test file of the saving door holds, made here once more: xorshift with the shifts 13, 7, 17 (G. Marsaglia,
// "Xorshift RNGs", Journal of Statistical Software 8 (14), 2003), each state as eight bytes, the lowest first.
import assert from 'node:assert/strict';
import { createHash } from 'node:crypto';

export const large = 512 * 2 ** 20;

/** The state it begins with: the letters "Printers". */
const seed = Buffer.from('Printers').readBigUInt64BE();

/** SHA-256 of the first `bytes` bytes (a multiple of eight), in 32-bit halves because that is a hundred times faster. */
export function sumOfTestFile(bytes) {
  const hash = createHash('sha256');
  let low = Number(seed & 0xffffffffn) | 0;
  let high = Number(seed >> 32n) | 0;
  const block = new Int32Array(1 << 18);
  const raw = new Uint8Array(block.buffer);
  for (let left = bytes; left > 0; left -= raw.length) {
    for (let i = 0; i < block.length; i += 2) {
      high ^= (high << 13) | (low >>> 19);
      low ^= low << 13;
      low ^= (low >>> 7) | (high << 25);
      high ^= high >>> 7;
      high ^= (high << 17) | (low >>> 15);
      low ^= low << 17;
      block[i] = low;
      block[i + 1] = high;
    }
    hash.update(left < raw.length ? raw.subarray(0, left) : raw);
  }
  return hash.digest('hex');
}

/** The large file through the door, in any engine: it arrives whole. */
export async function saveLargeFile(driver) {
  const { name, bytes } = await driver.download(() =>
    driver.evaluate((bytes) => void window.sorrelTest.saveTestFile(bytes), large),
  );
  assert.equal(name, 'test.bin');
  assert.equal(bytes.length, large);
  assert.equal(createHash('sha256').update(bytes).digest('hex'), sumOfTestFile(large));
}
