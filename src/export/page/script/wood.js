// The sheet as it is cut: wood that gets darker the deeper it is cut, and is gone where it is cut through.

// From the sheet's face down. Every step is darker than the one before in red, green and blue alike, so that laying one
// over another with the darker kept shows the deepest cut, whichever came last.
const DEPTHS = ['#e0b877', '#cfa15f', '#b98949', '#9f7138', '#82592b', '#64421f'];
const GONE = '#11161c';
const BOARD = { waste: '#efe3c8', part: '#ecd6ae', line: 'rgba(70, 52, 28, .6)', number: 'rgba(70, 52, 28, .42)' };
// As many pixels as a phone's browser lets a canvas have without complaint.
const MOST_PIXELS = 6e6;

class Wood {
  // `pieces` are outlines on the sheet with y up, and numbers: { path, matrix, number, x, y, size, turned }.
  constructor(sheet, pieces, top) {
    this.length = sheet.length;
    this.width = sheet.width;
    this.thickness = sheet.thickness;
    this.top = top;
    this.scale = Math.min(2.5, Math.sqrt(MOST_PIXELS / (sheet.length * sheet.width)));
    const canvas = () => {
      const one = document.createElement('canvas');
      one.width = Math.ceil(sheet.length * this.scale);
      one.height = Math.ceil(sheet.width * this.scale);
      return one;
    };
    this.canvas = canvas();
    this.context = this.canvas.getContext('2d');
    this.base = canvas();
    this.paint(this.base.getContext('2d'), pieces);
    this.reset();
  }

  frame(context) {
    context.setTransform(this.scale, 0, 0, -this.scale, 0, this.width * this.scale);
  }

  paint(context, pieces) {
    this.frame(context);
    context.fillStyle = BOARD.waste;
    context.fillRect(0, 0, this.length, this.width);
    context.textAlign = 'center';
    context.textBaseline = 'middle';
    for (const piece of pieces) {
      context.save();
      context.transform(...piece.matrix);
      context.fillStyle = BOARD.part;
      context.fill(piece.path, 'evenodd');
      context.strokeStyle = BOARD.line;
      context.lineWidth = 2 / this.scale;
      context.stroke(piece.path);
      context.restore();
      context.save();
      context.translate(piece.x, piece.y);
      context.scale(1, -1);
      if (piece.turned) context.rotate(-Math.PI / 2);
      context.font = `700 ${piece.size}px system-ui, sans-serif`;
      context.fillStyle = BOARD.number;
      context.fillText(piece.number, 0, 0);
      context.restore();
    }
  }

  // What earlier programs cut of this sheet stays cut.
  keep() {
    const context = this.base.getContext('2d');
    context.setTransform(1, 0, 0, 1, 0, 0);
    context.drawImage(this.canvas, 0, 0);
  }

  reset() {
    const { context } = this;
    context.globalCompositeOperation = 'source-over';
    context.setTransform(1, 0, 0, 1, 0, 0);
    context.drawImage(this.base, 0, 0);
    context.globalCompositeOperation = 'darken';
    context.lineCap = 'round';
    context.lineJoin = 'round';
    this.frame(context);
  }

  // Which step of DEPTHS a height of the tip is; none above the wood, one past the last where it goes through.
  step(z) {
    const depth = this.top - z;
    if (depth < 1e-6) return -1;
    if (depth > this.thickness - 0.01) return DEPTHS.length;
    return Math.min(DEPTHS.length - 1, Math.floor(depth / this.thickness * DEPTHS.length));
  }

  // Cuts from one place in the program to another. `diameter` gives a tool's width.
  cut(moves, from, to, diameter) {
    const { context } = this;
    let open = null;
    const flush = () => {
      if (!open) return;
      context.strokeStyle = open.step === DEPTHS.length ? GONE : DEPTHS[open.step];
      context.lineWidth = open.wide;
      context.stroke();
      open = null;
    };
    for (let i = from.index; i <= to.index && i < moves.length; i++) {
      const move = moves[i];
      if (move.kind !== 'cut' && move.kind !== 'arc') continue;
      const begin = i === from.index ? from.share : 0;
      const end = i === to.index ? to.share : 1;
      if (end <= begin) continue;
      const wide = diameter(move.tool);
      const pieces = move.z0 === move.z1 ? 1 : Math.min(24, Math.max(1, Math.ceil(Math.abs(move.z1 - move.z0) * (end - begin) / this.thickness * 12)));
      for (let k = 0; k < pieces; k++) {
        const a = begin + (end - begin) * k / pieces;
        const b = begin + (end - begin) * (k + 1) / pieces;
        const step = this.step(Math.min(move.z0 + (move.z1 - move.z0) * a, move.z0 + (move.z1 - move.z0) * b));
        if (step < 0) {
          flush();
          continue;
        }
        const [x, y] = placeIn(move, a);
        const [u, v] = placeIn(move, b);
        if (!open || open.step !== step || open.wide !== wide || open.x !== x || open.y !== y) {
          flush();
          open = { step, wide };
          context.beginPath();
          context.moveTo(x, y);
        }
        trace(context, move, a, b);
        // A drill goes nowhere: a line of no length would not be drawn.
        if (Math.hypot(u - x, v - y) < 1e-6) context.lineTo(u + 1e-3, v);
        open.x = u;
        open.y = v;
      }
    }
    flush();
  }
}

// Adds a stretch of a move to a path.
function trace(context, move, a, b) {
  if (move.kind === 'arc') {
    context.arc(move.cx, move.cy, move.radius, move.from + move.sweep * a, move.from + move.sweep * b, move.sweep < 0);
  } else {
    const [x, y] = placeIn(move, b);
    context.lineTo(x, y);
  }
}
