// Shows the models of a job's page: turn, zoom, section plane, parts, main sizes, places of findings.
// Strut frame, mm: x forward along the shaft, y to port, z toward the hull. `window.strutModels` holds the models.

import { AmbientLight, DirectionalLight, OrthographicCamera, Plane, Scene, Vector3, WebGLRenderer } from "three";
import { bodyOf } from "./body.js";

const HOME = { azimuth: 126.5, elevation: 18, zoom: 1, x: 0, y: 0 }; // as the picture
const VIEWS = {
  port: [90, 0],
  starboard: [-90, 0],
  aft: [180, 0],
  forward: [0, 0],
  above: [180, 90],
  below: [180, -90],
};
const AXES = { along: new Vector3(0, 1, 0), across: new Vector3(1, 0, 0), level: new Vector3(0, 0, 1) };
const STEP_DEG = 10;
const MARGIN = 1.12;
const LINE = 22; // pixels from one line of words to the next

// --- words over the picture -----------------------------------------------------------------------------------------

function widthOf(words) {
  return 12 + 9 * words.length;
}

// 1, 2, 3, 7 in short: 1-3, 7.
function runs(numbers) {
  const out = [];
  for (const n of numbers) {
    const last = out[out.length - 1];
    if (last && last[1] === n - 1) last[1] = n;
    else out.push([n, n]);
  }
  return out.map(([a, b]) => (a === b ? `${a}` : b === a + 1 ? `${a}, ${b}` : `${a}-${b}`)).join(", ");
}

// Marks, from the top down, no two nearer than a line and all between top and bottom if they can be.
function columned(marks, top, bottom) {
  const out = marks.sort((a, b) => a.at[1] - b.at[1]);
  out.forEach((mark, k) => (mark.y = Math.max(mark.at[1], k ? out[k - 1].y + LINE : top)));
  for (let k = out.length - 1; k >= 0; k--) out[k].y = Math.min(out[k].y, bottom - LINE * (out.length - 1 - k));
  return out;
}

// How far down a figure has to stand so that it covers none of the others.
function clear(one, others) {
  let { y } = one;
  while (others.some((o) => Math.abs(o.y - y) < LINE && one.x < o.x + o.wide && o.x < one.x + one.wide)) y += 1;
  return y;
}

// --- the scene ------------------------------------------------------------------------------------------------------

class Viewer {
  constructor(view, model, context) {
    this.view = view;
    this.model = model;
    this.stage = view.querySelector(".stage");
    this.canvas = view.querySelector("canvas");
    this.over = view.querySelector("svg");
    this.renderer = new WebGLRenderer({ canvas: this.canvas, context, antialias: true, stencil: true });
    this.renderer.localClippingEnabled = true;
    this.at = { ...HOME };
    this.cut = { axis: "", share: 0.5, side: 1, plane: new Plane(new Vector3(0, 1, 0), 0) };
    this.camera = new OrthographicCamera();
    this.scene = new Scene();
    this.light = new DirectionalLight("#ffffff", 2.2);
    this.scene.add(new AmbientLight("#ffffff", 1.3), this.light, this.light.target);
    this.addParts();
    this.renderer.setClearColor(model.colours.card);
  }

  addParts() {
    const { parts, colours } = this.model;
    const low = new Vector3(...[0, 1, 2].map((k) => Math.min(...parts.map((p) => p.low[k]))));
    const high = new Vector3(...[0, 1, 2].map((k) => Math.max(...parts.map((p) => p.low[k] + 65535 * p.step[k]))));
    this.box = { low, high };
    this.centre = low.clone().add(high).multiplyScalar(0.5);
    this.radius = high.distanceTo(low) / 2;
    this.bodies = parts.map((p, k) => bodyOf(p, colours, this.cut.plane, 4 * this.radius, k + 1));
    this.bodies.forEach((b) => this.scene.add(b.group));
    this.section();
  }

  // Show another model in the place of this one, from where it is looked at; parts that were off stay off.
  renew(model) {
    const off = new Set(this.model.parts.filter((p, k) => !this.bodies[k].group.visible).map((p) => p.name));
    for (const { group } of this.bodies) {
      this.scene.remove(group);
      group.traverse((o) => {
        o.geometry?.dispose();
        o.material?.dispose();
      });
    }
    this.model = model;
    this.addParts();
    this.bodies.forEach((b, k) => (b.group.visible = !off.has(model.parts[k].name)));
    this.view.querySelectorAll(".parts label").forEach((label) => label.remove());
    parts(this);
  }

  // Put the section plane where it is asked for, or away.
  section() {
    const { axis, share, side, plane } = this.cut;
    if (axis) {
      const way = AXES[axis];
      const along = this.box.low.dot(way) + share * (this.box.high.dot(way) - this.box.low.dot(way));
      plane.normal.copy(way).multiplyScalar(-side);
      plane.constant = side * along;
    }
    for (const body of this.bodies) {
      body.shown.forEach((o) => (o.material.clippingPlanes = axis ? [plane] : null));
      body.cutting.forEach((o) => (o.visible = Boolean(axis)));
      if (axis) body.recut();
      plane.coplanarPoint(body.cap.position);
      body.cap.position.add(this.centre).addScaledVector(plane.normal, -plane.normal.dot(this.centre));
      body.cap.lookAt(body.cap.position.clone().sub(plane.normal));
    }
    this.soon();
  }

  // Cut at mid-barrel or the shaft line, on the side that is looked at.
  cutBy(axis) {
    this.cut.axis = axis;
    if (axis) {
      const way = AXES[axis];
      this.cut.side = this.toEye().dot(way) < 0 ? -1 : 1;
      this.cut.share = -this.box.low.dot(way) / (this.box.high.dot(way) - this.box.low.dot(way));
    }
    this.section();
  }

  toEye() {
    const [a, e] = [this.at.azimuth, this.at.elevation].map((d) => (d * Math.PI) / 180);
    return new Vector3(Math.cos(e) * Math.cos(a), Math.cos(e) * Math.sin(a), Math.sin(e));
  }

  soon() {
    if (this.waiting) return;
    this.waiting = true;
    requestAnimationFrame(() => {
      this.waiting = false;
      this.draw();
    });
  }

  // Half the height of what is seen, mm, so that the whole fits whichever way it is turned.
  halfHeight(wide, high) {
    const [a, e] = [this.at.azimuth, this.at.elevation].map((d) => (d * Math.PI) / 180);
    const size = this.box.high.clone().sub(this.box.low).multiplyScalar(0.5);
    const across = size.x * Math.abs(Math.sin(a)) + size.y * Math.abs(Math.cos(a));
    const deep = size.x * Math.abs(Math.cos(a)) + size.y * Math.abs(Math.sin(a));
    const up = size.z * Math.abs(Math.cos(e)) + deep * Math.abs(Math.sin(e));
    return (MARGIN * Math.max(up, (across * high) / wide)) / this.at.zoom;
  }

  aim() {
    const [wide, high] = [this.stage.clientWidth, this.stage.clientHeight];
    const eye = this.toEye();
    const half = this.halfHeight(wide, high);
    const camera = this.camera;
    const [a, e] = [this.at.azimuth, this.at.elevation].map((d) => (d * Math.PI) / 180);
    camera.up.set(-Math.sin(e) * Math.cos(a), -Math.sin(e) * Math.sin(a), Math.cos(e));
    [camera.top, camera.bottom] = [half, -half];
    [camera.left, camera.right] = [(-half * wide) / high, (half * wide) / high];
    [camera.near, camera.far] = [this.radius, 7 * this.radius];
    camera.position.copy(this.centre).addScaledVector(eye, 4 * this.radius);
    camera.lookAt(this.centre);
    camera.translateX(this.at.x);
    camera.translateY(this.at.y);
    camera.updateProjectionMatrix();
    camera.updateMatrixWorld();
    this.light.position.copy(camera.position).addScaledVector(camera.up, 2 * this.radius);
    this.light.target.position.copy(this.centre);
    this.mmPerPixel = (2 * half) / high;
  }

  draw() {
    const [wide, high] = [this.stage.clientWidth, this.stage.clientHeight];
    if (!wide || !high) return;
    this.renderer.setPixelRatio(window.devicePixelRatio);
    this.renderer.setSize(wide, high, false);
    this.aim();
    this.renderer.render(this.scene, this.camera);
    this.drawOver(wide, high);
    this.view.dataset.drawn = String(Number(this.view.dataset.drawn || 0) + 1);
  }

  // Where a place (mm) is seen, in pixels of the stage.
  seen(place) {
    const at = new Vector3(...place).project(this.camera);
    return [((at.x + 1) / 2) * this.stage.clientWidth, ((1 - at.y) / 2) * this.stage.clientHeight];
  }

  // --- what stands over the picture: forward arrow, sizes, marks ---

  put(kind, attributes, text = "") {
    const made = document.createElementNS("http://www.w3.org/2000/svg", kind);
    for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
    made.textContent = text;
    this.over.append(made);
  }

  line(a, b, look) {
    this.put("line", { x1: a[0], y1: a[1], x2: b[0], y2: b[1], class: look });
  }

  drawOver(wide, high) {
    this.over.setAttribute("viewBox", `0 0 ${wide} ${high}`);
    this.over.replaceChildren();
    this.drawForward(high);
    this.drawMarks();
    const pressed = [...this.view.querySelectorAll("[data-size][aria-pressed=true]")];
    const lit = pressed.filter((b) => this.model.sizes[b.dataset.size]).map((b) => this.litSize(b));
    lit.forEach((size, k) => (size.y = clear(size, lit.slice(0, k))));
    lit.forEach((size) => this.drawSize(size));
  }

  drawForward(high) {
    const from = [54, high - 50];
    const ends = [this.seen([0, 0, 0]), this.seen([1, 0, 0])];
    const way = [0, 1].map((k) => (ends[1][k] - ends[0][k]) * this.mmPerPixel);
    const tip = [0, 1].map((k) => from[k] + 34 * way[k]);
    const long = Math.hypot(...way);
    if (long > 0.2) {
      this.line(from, tip, "arrow");
      for (const s of [-1, 1]) {
        const back = [0, 1].map((k) => tip[k] - (9 * way[k] + s * 5 * [-way[1], way[0]][k]) / long);
        this.line(tip, back, "arrow");
      }
    } else {
      this.put("circle", { cx: from[0], cy: from[1], r: 7, class: "arrow" });
    }
    const away = this.toEye().x < 0 ? "FWD, away from you" : "FWD, toward you";
    this.put("text", { x: 10, y: high - 10, class: "word" }, long > 0.2 ? "FWD" : away);
    this.put("text", { x: 10, y: 22, class: "word" }, this.model.hand.toUpperCase());
  }

  // Where a size is seen, and the box of its figure: beside the middle of its line.
  litSize(button) {
    const ends = this.model.sizes[button.dataset.size].map((place) => this.seen(place));
    const [a, b] = ends;
    const long = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1;
    const tick = [(-8 * (b[1] - a[1])) / long, (8 * (b[0] - a[0])) / long];
    if (tick[0] < 0) tick.forEach((t, k) => (tick[k] = -t));
    const words = button.querySelector("b").textContent;
    const middle = [0, 1].map((k) => (a[k] + b[k]) / 2 + 1.5 * tick[k]);
    return { ends, tick, words, x: middle[0], y: middle[1], wide: widthOf(words) };
  }

  // A line with a tick at each end, and its figure.
  drawSize({ ends, tick, words, x, y, wide }) {
    this.line(...ends, "size");
    for (const end of ends) {
      this.line([end[0] - tick[0], end[1] - tick[1]], [end[0] + tick[0], end[1] + tick[1]], "size");
    }
    this.boxed({ x, y, wide }, words, "figure");
  }

  boxed({ x, y, wide }, words, look) {
    this.put("rect", { x, y: y - 10, width: wide, height: 20, rx: 3, class: look });
    this.put("text", { x: x + wide / 2, y: y + 5, class: look }, words);
  }

  // The findings of one place share a mark. The numbers stand in a column at either side, clear of the strut.
  drawMarks() {
    if (!this.view.querySelector("[data-marks]")?.checked) return;
    const marks = this.marks().sort((a, b) => a.at[0] - b.at[0]);
    const [wide, high] = [this.stage.clientWidth, this.stage.clientHeight];
    const half = Math.floor(marks.length / 2);
    columned(marks.slice(0, half), 42, high - 88).forEach((mark) => this.drawMark(mark, 10));
    columned(marks.slice(half), 18, high - 18).forEach((mark) => this.drawMark(mark, wide - 10 - mark.wide));
  }

  marks() {
    const groups = new Map();
    for (const button of this.view.querySelectorAll("[data-place]")) {
      const group = groups.get(button.dataset.place) || { numbers: [], lit: false };
      group.numbers.push(Number(button.querySelector("b").textContent));
      group.lit ||= button.getAttribute("aria-pressed") === "true";
      groups.set(button.dataset.place, group);
    }
    return [...groups].filter(([place]) => this.model.places[place]).map(([place, { numbers, lit }]) => {
      const words = runs(numbers);
      return { words, wide: widthOf(words), lit, at: this.seen(this.model.places[place]) };
    });
  }

  drawMark({ words, wide, lit, at, y }, x) {
    const look = lit ? "mark lit" : "mark";
    this.line(at, [x < at[0] - wide ? x + wide : x, y], look);
    this.put("circle", { cx: at[0], cy: at[1], r: lit ? 5 : 3, class: look });
    this.boxed({ x, y, wide }, words, look);
  }

  // --- moving ---

  turn(azimuth, elevation) {
    this.at.azimuth += azimuth;
    this.at.elevation = Math.max(-90, Math.min(90, this.at.elevation + elevation));
    this.soon();
  }

  zoom(by) {
    this.at.zoom = Math.max(0.3, Math.min(40, this.at.zoom * by));
    this.soon();
  }

  shift(right, down) {
    this.at.x -= right * this.mmPerPixel;
    this.at.y += down * this.mmPerPixel;
    this.soon();
  }

  look(name) {
    this.at = { ...HOME };
    if (VIEWS[name]) [this.at.azimuth, this.at.elevation] = VIEWS[name];
    this.soon();
  }
}

// --- controls -------------------------------------------------------------------------------------------------------

function keys(viewer) {
  const by = STEP_DEG;
  const turns = { ArrowLeft: [by, 0], ArrowRight: [-by, 0], ArrowUp: [0, by], ArrowDown: [0, -by] };
  viewer.canvas.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (turns[event.key]) viewer.turn(...turns[event.key]);
    else if (event.key === "+" || event.key === "=") viewer.zoom(1.25);
    else if (event.key === "-") viewer.zoom(0.8);
    else if (event.key === "Home") viewer.look("home");
    else return;
    event.preventDefault();
  });
}

// One finger or button turns, two fingers or the shift key move, two fingers apart zoom.
function pointers(viewer) {
  const down = new Map();
  const { canvas } = viewer;
  const apart = () => {
    const [a, b] = [...down.values()];
    return Math.hypot(a[0] - b[0], a[1] - b[1]);
  };
  canvas.addEventListener("pointerdown", (event) => {
    canvas.setPointerCapture(event.pointerId);
    down.set(event.pointerId, [event.clientX, event.clientY]);
  });
  canvas.addEventListener("pointermove", (event) => {
    const before = down.get(event.pointerId);
    if (!before) return;
    const [dx, dy] = [event.clientX - before[0], event.clientY - before[1]];
    const gap = down.size === 2 ? apart() : 0;
    down.set(event.pointerId, [event.clientX, event.clientY]);
    if (down.size === 2) {
      viewer.shift(dx / 2, dy / 2);
      if (gap > 0) viewer.zoom(apart() / gap);
    } else if (event.shiftKey || event.buttons > 1) viewer.shift(dx, dy);
    else viewer.turn(-0.4 * dx, 0.4 * dy);
  });
  const gone = (event) => down.delete(event.pointerId);
  canvas.addEventListener("pointerup", gone);
  canvas.addEventListener("pointercancel", gone);
  canvas.addEventListener("contextmenu", (event) => event.preventDefault());
  // The page scrolls until someone has chosen the model.
  const wheel = (event) => {
    if (document.activeElement !== canvas) return;
    event.preventDefault();
    viewer.zoom(Math.exp(-0.0015 * event.deltaY));
  };
  canvas.addEventListener("wheel", wheel, { passive: false });
}

function section(viewer) {
  const place = viewer.view.querySelector("[data-cut-place]");
  const other = viewer.view.querySelector("[data-cut-other]");
  for (const choice of viewer.view.querySelectorAll("[data-cut]")) {
    choice.addEventListener("change", () => {
      viewer.cutBy(choice.dataset.cut);
      place.value = viewer.cut.share * place.max;
      place.disabled = other.disabled = !choice.dataset.cut;
    });
  }
  place.addEventListener("input", () => {
    viewer.cut.share = Number(place.value) / Number(place.max);
    viewer.section();
  });
  other.addEventListener("click", () => {
    viewer.cut.side = -viewer.cut.side;
    viewer.section();
  });
}

function parts(viewer) {
  const list = viewer.view.querySelector(".parts");
  viewer.model.parts.forEach((part, k) => {
    const label = document.createElement("label");
    const box = document.createElement("input");
    box.type = "checkbox";
    box.checked = viewer.bodies[k].group.visible;
    box.addEventListener("change", () => {
      viewer.bodies[k].group.visible = box.checked;
      viewer.soon();
    });
    label.append(box, ` ${part.name} `, Object.assign(document.createElement("small"), { textContent: part.material }));
    list.append(label);
  });
}

function buttons(viewer) {
  for (const button of viewer.view.querySelectorAll("[data-look]")) {
    button.addEventListener("click", () => viewer.look(button.dataset.look));
  }
  for (const button of viewer.view.querySelectorAll("[data-zoom]")) {
    button.addEventListener("click", () => viewer.zoom(Number(button.dataset.zoom)));
  }
  viewer.view.addEventListener("click", (event) => {
    const button = event.target.closest("[aria-pressed]");
    if (!button) return;
    button.setAttribute("aria-pressed", String(button.getAttribute("aria-pressed") !== "true"));
    viewer.soon();
  });
  viewer.view.querySelector("[data-marks]")?.addEventListener("change", () => viewer.soon());
}

// --- start ----------------------------------------------------------------------------------------------------------

// The picture stands until all of it has gone well, and again when the model is lost.
function start(view) {
  const model = (window.strutModels || {})[view.dataset.model];
  const picture = view.parentElement.querySelector(".built");
  const context = model && view.querySelector("canvas").getContext("webgl2", { antialias: true, stencil: true });
  if (!context) return;
  const viewer = (view.viewer = new Viewer(view, model, context));
  [keys, pointers, section, parts, buttons].forEach((wire) => wire(viewer));
  const show = (there) => {
    view.hidden = !there;
    if (picture) picture.hidden = there;
  };
  viewer.canvas.addEventListener("webglcontextlost", () => show(false));
  new ResizeObserver(() => viewer.soon()).observe(viewer.stage);
  show(true);
  viewer.soon();
}

document.addEventListener("DOMContentLoaded", () => document.querySelectorAll(".view[data-model]").forEach(start));

// For a page that changes: another model into a view, which begins with its first one.
window.strutRenew = (view, model) => {
  (window.strutModels ||= {})[view.dataset.model] = model;
  if (view.viewer) view.viewer.renew(model);
  else start(view);
};
