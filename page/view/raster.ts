// Flat faces as pixels, each with its depth, so that what is in front hides what is behind.

/** A colour as the bytes of a pixel; `plies` says where a second one takes its place. */
export interface Paint {
  plain: number;
  band: number;
  plies: number[] | null;
}

export class Raster {
  width = 0;
  height = 0;
  depth = new Float32Array(0);
  face = new Uint16Array(0);
  image = new ImageData(1, 1);
  pixels = new Uint32Array(0);
  private crossings = new Float64Array(64);

  size(width: number, height: number): void {
    if (width === this.width && height === this.height) return;
    this.width = width;
    this.height = height;
    this.depth = new Float32Array(width * height);
    this.face = new Uint16Array(width * height);
    this.image = new ImageData(width, height);
    this.pixels = new Uint32Array(this.image.data.buffer);
  }

  clear(): void {
    this.depth.fill(-Infinity);
    this.face.fill(0);
    this.pixels.fill(0);
  }

  // Fills the rings (arrays of x, y) by the even-odd rule. The face's depth at a pixel is plane[0] x + plane[1] y +
  // plane[2]; nearer is more. Its colour is paint.plain, or paint.band where bands([...]) says so.
  fill(rings: ArrayLike<number>[], plane: number[], number: number, paint: Paint): void {
    let least = Infinity;
    let most = -Infinity;
    const sides: number[] = [];
    for (const ring of rings) {
      const n = ring.length;
      for (let i = 0; i < n; i += 2) {
        const x0 = ring[i], y0 = ring[i + 1];
        const x1 = ring[(i + 2) % n], y1 = ring[(i + 3) % n];
        if (y0 < least) least = y0;
        if (y0 > most) most = y0;
        if (y0 !== y1) {
          const slope = (x1 - x0) / (y1 - y0);
          sides.push(Math.min(y0, y1), Math.max(y0, y1), slope, x0 - slope * y0);
        }
      }
    }
    const first = Math.max(0, Math.ceil(least - 0.5));
    const last = Math.min(this.height - 1, Math.floor(most - 0.5));
    if (this.crossings.length < sides.length / 4) this.crossings = new Float64Array(sides.length);
    const crossings = this.crossings;
    for (let row = first; row <= last; row++) {
      const y = row + 0.5;
      let count = 0;
      for (let i = 0; i < sides.length; i += 4) {
        if (y < sides[i] || y >= sides[i + 1]) continue;
        const x = sides[i + 2] * y + sides[i + 3];
        let at = count++;
        while (at > 0 && crossings[at - 1] > x) {
          crossings[at] = crossings[at - 1];
          at--;
        }
        crossings[at] = x;
      }
      for (let i = 0; i + 1 < count; i += 2) this.span(row, crossings[i], crossings[i + 1], plane, number, paint);
    }
  }

  private span(row: number, from: number, to: number, plane: number[], number: number, paint: Paint): void {
    const start = Math.max(0, Math.ceil(from - 0.5));
    const end = Math.min(this.width - 1, Math.ceil(to - 0.5) - 1);
    const { depth, face, pixels } = this;
    const y = row + 0.5;
    const plies = paint.plies;
    let z = plane[0] * (start + 0.5) + plane[1] * y + plane[2];
    let ply = plies ? plies[0] * (start + 0.5) + plies[1] * y + plies[2] : 0;
    for (let x = start, i = row * this.width + start; x <= end; x++, i++) {
      if (z > depth[i]) {
        depth[i] = z;
        face[i] = number;
        pixels[i] = plies && (ply & 1) ? paint.band : paint.plain;
      }
      z += plane[0];
      if (plies) ply += plies[0];
    }
  }

  // Draws a line wherever two faces meet that belong to different groups (a group per face number), and counts the
  // pixels of each owner for its number. A bold line is two pixels wide.
  ink(groups: Uint32Array, colour: number, bold: boolean): void {
    const { width, height, face, pixels } = this;
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        const i = y * width + x;
        const here = groups[face[i]];
        const right = x + 1 < width ? groups[face[i + 1]] : 0;
        const below = y + 1 < height ? groups[face[i + width]] : 0;
        if (here === right && here === below) continue;
        pixels[i] = colour;
        if (!bold) continue;
        if (here !== right && x + 1 < width) pixels[i + 1] = colour;
        if (here !== below && y + 1 < height) pixels[i + width] = colour;
      }
    }
  }

  // Where the pixels of each owner are, on the whole: sums by owner of count, x and y.
  middles(owners: Uint16Array, count: number): Float64Array {
    const sums = new Float64Array(count * 3);
    const step = 3;
    for (let y = 0; y < this.height; y += step) {
      for (let x = 0; x < this.width; x += step) {
        const number = this.face[y * this.width + x];
        if (number === 0) continue;
        const owner = owners[number] * 3;
        sums[owner] += step * step;
        sums[owner + 1] += x * step * step;
        sums[owner + 2] += y * step * step;
      }
    }
    return sums;
  }
}
