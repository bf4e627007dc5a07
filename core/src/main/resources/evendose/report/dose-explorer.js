'use strict';
// The dose map that can be zoomed and asked. Data come from the page itself; nothing is fetched.
(() => {
  const data = JSON.parse(document.getElementById('dose-data').textContent);
  const box = document.getElementById('dose-explorer');
  const canvas = box.querySelector('canvas');
  const told = box.querySelector('.told');
  const field = box.querySelector('input');
  const pen = canvas.getContext('2d');
  const overview = new Image();
  const b = data.bounds;
  let scale = 1, left = b[0], top = b[3], width = 0, height = 0, chosen = -1, shown = [];

  // Pieces: row of doses.csv, unit, then x, y of the corners, in steps of data.step from the lower left.
  const row = [], unit = [], corners = [], lo = [], hi = [];
  const origin = [b[0], b[1]];
  for (let i = 0; i < data.pieces.length;) {
    const n = data.pieces[i + 2];
    row.push(data.pieces[i]);
    unit.push(data.pieces[i + 1]);
    let c = [];
    if (n === 2) {
      const [x, y, w, h] = data.pieces.slice(i + 3, i + 7);
      c = [x, y, x + w, y, x + w, y + h, x, y + h];
    } else {
      c = data.pieces.slice(i + 3, i + 11);
    }
    i += 3 + 2 * n;
    c = c.map((v, k) => origin[k % 2] + v * data.step);
    corners.push(c);
    lo.push([Math.min(c[0], c[2], c[4], c[6]), Math.min(c[1], c[3], c[5], c[7])]);
    hi.push([Math.max(c[0], c[2], c[4], c[6]), Math.max(c[1], c[3], c[5], c[7])]);
  }
  const colour = f => data.colours[Math.max(0, Math.min(data.colours.length - 1,
    Math.round((data.high - f) / (data.high - data.low) * (data.colours.length - 1))))];
  const px = x => (x - left) * scale;
  const py = y => (top - y) * scale;
  const count = n => n.toLocaleString('en');

  function inView() {
    const x1 = left + width / scale, y0 = top - height / scale, found = [];
    for (let i = 0; i < row.length; i++) {
      if (lo[i][0] < x1 && hi[i][0] > left && lo[i][1] < top && hi[i][1] > y0) found.push(i);
    }
    return found;
  }

  function path(i) {
    const c = corners[i];
    pen.beginPath();
    pen.moveTo(px(c[0]), py(c[1]));
    for (let k = 2; k < 8; k += 2) pen.lineTo(px(c[k]), py(c[k + 1]));
    pen.closePath();
  }

  function draw() {
    const ratio = window.devicePixelRatio || 1;
    pen.setTransform(ratio, 0, 0, ratio, 0, 0);
    pen.fillStyle = '#fff';
    pen.fillRect(0, 0, width, height);
    const near = scale > data.overview.perUm;
    shown = near || data.all ? inView() : [];
    const pieces = (near || row.length < 2000) && shown.length <= data.most;
    if (!pieces || !data.all) {
      pen.imageSmoothingEnabled = !near;
      const o = data.overview;
      pen.drawImage(overview, px(o.x0), py(o.y1), (o.x1 - o.x0) * scale, (o.y1 - o.y0) * scale);
    }
    if (pieces) {
      for (const i of shown) {
        path(i);
        pen.fillStyle = colour(data.units[3 * unit[i]]);
        pen.fill();
      }
      if (shown.length < 4000) {
        pen.lineWidth = 0.5;
        pen.strokeStyle = 'rgba(255,255,255,.75)';
        for (const i of shown) {
          if ((hi[i][0] - lo[i][0]) * scale > 6 && (hi[i][1] - lo[i][1]) * scale > 6) { path(i); pen.stroke(); }
        }
      }
    } else if (near) {
      shown = [];
    }
    if (chosen >= 0) {
      path(chosen);
      pen.lineWidth = 2.5;
      pen.strokeStyle = '#b25c00';
      pen.stroke();
    }
    bar();
    box.dataset.scale = scale;
    box.dataset.pieces = pieces ? shown.length : 0;
    box.querySelector('.state').textContent = pieces
      ? count(shown.length) + ' pieces in view'
      : data.all || !near ? 'Overview: zoom in to see pieces.' : 'The pieces of this part are not in the page; see doses.csv.';
  }

  /** A scale bar of a round length. */
  function bar() {
    const raw = 110 / scale, power = Math.pow(10, Math.floor(Math.log10(raw)));
    const length = power * (raw / power >= 5 ? 5 : raw / power >= 2 ? 2 : 1);
    const text = length >= 1 ? length + ' um' : Math.round(length * 1e3 * 1e3) / 1e3 + ' nm';
    pen.fillStyle = 'rgba(255,255,255,.85)';
    pen.fillRect(8, height - 34, length * scale + 16, 28);
    pen.fillStyle = '#20262c';
    pen.fillRect(16, height - 14, length * scale, 3);
    pen.font = '12px sans-serif';
    pen.fillText(text, 16, height - 19);
  }

  function whole() {
    scale = Math.min(width / (b[2] - b[0]), height / (b[3] - b[1])) * 0.96;
    left = (b[0] + b[2]) / 2 - width / scale / 2;
    top = (b[1] + b[3]) / 2 + height / scale / 2;
    draw();
  }

  function zoom(factor, x = width / 2, y = height / 2) {
    const most = 2e4, least = Math.min(width / (b[2] - b[0]), height / (b[3] - b[1])) * 0.4;
    const next = Math.max(least, Math.min(most, scale * factor));
    left += x / scale - x / next;
    top -= y / scale - y / next;
    scale = next;
    draw();
  }

  function go(x, y, side) {
    scale = Math.min(width, height) / side;
    left = x - width / scale / 2;
    top = y + height / scale / 2;
    ask(x, y);
    draw();
  }

  /** The piece that holds a point: on the inner side of all four corners' sides, or -1. */
  function at(x, y) {
    for (const i of shown.length ? shown : inView()) {
      if (x < lo[i][0] || x > hi[i][0] || y < lo[i][1] || y > hi[i][1]) continue;
      const c = corners[i];
      let inside = true;
      for (let k = 0; k < 8 && inside; k += 2) {
        const m = (k + 2) % 8;
        inside = (c[m] - c[k]) * (y - c[k + 1]) - (c[m + 1] - c[k + 1]) * (x - c[k]) >= -1e-9;
      }
      if (inside) return i;
    }
    return -1;
  }

  function ask(x, y) {
    chosen = at(x, y);
    const where = x.toFixed(3) + ', ' + y.toFixed(3) + ' um';
    if (chosen < 0) {
      told.textContent = where + ': nothing is exposed here' + (data.all ? '.' : ', or its piece is not in the page.');
      return;
    }
    const u = 3 * unit[chosen], f = data.units[u];
    told.textContent = where + ': piece ' + row[chosen] + ', dose factor ' + f.toFixed(4)
      + (data.base ? ', ' + (f * data.base).toFixed(1) + ' µC/cm²' : '')
      + ', error of the criterion ' + (100 * data.units[u + 1]).toFixed(2) + ' %, ' + data.statuses[data.units[u + 2]]
      + ', ' + size(hi[chosen][0] - lo[chosen][0]) + ' by ' + size(hi[chosen][1] - lo[chosen][1]);
  }

  const size = um => um < 1 ? (1e3 * um).toFixed(1) + ' nm' : um.toFixed(3) + ' um';

  function fit() {
    const ratio = window.devicePixelRatio || 1;
    width = canvas.clientWidth;
    height = canvas.clientHeight;
    canvas.width = Math.round(width * ratio);
    canvas.height = Math.round(height * ratio);
  }

  let drag = null;
  canvas.addEventListener('pointerdown', e => {
    drag = { x: e.offsetX, y: e.offsetY, left, top, moved: false };
    canvas.setPointerCapture(e.pointerId);
  });
  canvas.addEventListener('pointermove', e => {
    if (drag) {
      drag.moved = drag.moved || Math.hypot(e.offsetX - drag.x, e.offsetY - drag.y) > 3;
      left = drag.left - (e.offsetX - drag.x) / scale;
      top = drag.top + (e.offsetY - drag.y) / scale;
      draw();
    }
  });
  canvas.addEventListener('pointerup', e => {
    if (drag && !drag.moved) {
      ask(left + e.offsetX / scale, top - e.offsetY / scale);
      draw();
    }
    drag = null;
  });
  canvas.addEventListener('wheel', e => {
    e.preventDefault();
    zoom(Math.exp(-0.0015 * e.deltaY), e.offsetX, e.offsetY);
  }, { passive: false });
  canvas.addEventListener('dblclick', e => zoom(3, e.offsetX, e.offsetY));
  canvas.addEventListener('keydown', e => {
    const step = 60 / scale;
    const keys = {
      '+': () => zoom(1.5), '-': () => zoom(1 / 1.5), '0': whole,
      ArrowLeft: () => { left -= step; draw(); }, ArrowRight: () => { left += step; draw(); },
      ArrowUp: () => { top += step; draw(); }, ArrowDown: () => { top -= step; draw(); }
    };
    if (keys[e.key]) { e.preventDefault(); keys[e.key](); }
  });
  box.querySelector('[data-do=in]').addEventListener('click', () => zoom(2));
  box.querySelector('[data-do=out]').addEventListener('click', () => zoom(0.5));
  box.querySelector('[data-do=whole]').addEventListener('click', whole);
  box.querySelector('form').addEventListener('submit', e => {
    e.preventDefault();
    const xy = field.value.split(/[\s,;]+/).filter(v => v !== '').map(Number);
    if (xy.length === 2 && xy.every(Number.isFinite)) go(xy[0], xy[1], data.near);
    else told.textContent = 'Type x and y in um, for instance 12.5, 40';
  });
  // Places named elsewhere on the page lead here.
  document.addEventListener('click', e => {
    const place = e.target.closest('a[data-x]');
    if (place) {
      e.preventDefault();
      box.scrollIntoView({ block: 'center' });
      go(Number(place.dataset.x), Number(place.dataset.y), data.near);
    }
  });
  overview.onload = () => {
    box.hidden = false;
    document.getElementById('dose-map').classList.add('for-print');
    fit();
    whole();
    window.addEventListener('resize', () => { fit(); draw(); });
  };
  overview.src = data.overview.png;
})();
