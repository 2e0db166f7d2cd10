// One part of a model as three.js draws it: surface, edges, and the face where a section plane cuts it.

import {
  AlwaysStencilFunc,
  BackSide,
  BufferAttribute,
  BufferGeometry,
  DecrementWrapStencilOp,
  FrontSide,
  Group,
  IncrementWrapStencilOp,
  LineBasicMaterial,
  LineSegments,
  Mesh,
  MeshBasicMaterial,
  MeshLambertMaterial,
  NotEqualStencilFunc,
  PlaneGeometry,
  ReplaceStencilOp,
  Vector3,
} from "three";

const ROUND_COS = Math.cos((25 * Math.PI) / 180); // faces that meet at less are shaded as one

function bytes(text) {
  const raw = atob(text);
  const out = new Uint8Array(raw.length);
  for (let i = 0; i < raw.length; i++) out[i] = raw.charCodeAt(i);
  return out.buffer;
}

function places(part, text) {
  const whole = new Uint16Array(bytes(text));
  const out = new Float32Array(whole.length);
  for (let i = 0; i < out.length; i++) out[i] = part.low[i % 3] + part.step[i % 3] * whole[i];
  return out;
}

// The normal of each triangle, as long as twice its area.
function faceNormals(at, corners) {
  const out = new Float32Array(corners.length);
  const [a, b, c] = [new Vector3(), new Vector3(), new Vector3()];
  for (let t = 0; t < corners.length; t += 3) {
    a.fromArray(at, 3 * corners[t]);
    b.fromArray(at, 3 * corners[t + 1]).sub(a);
    c.fromArray(at, 3 * corners[t + 2]).sub(a);
    b.cross(c).toArray(out, t);
  }
  return out;
}

// Which corners of triangles lie at each place: lists one after the other, and where each list begins.
function aroundEach(corners, count) {
  const first = new Uint32Array(count + 1);
  for (const c of corners) first[c + 1]++;
  for (let i = 0; i < count; i++) first[i + 1] += first[i];
  const next = first.slice();
  const list = new Uint32Array(corners.length);
  corners.forEach((c, k) => (list[next[c]++] = k));
  return { first, list };
}

// A corner takes the mean of the faces round it that turn little from its own.
function shaded(at, corners) {
  const faces = faceNormals(at, corners);
  const { first, list } = aroundEach(corners, at.length / 3);
  const [positions, normals] = [new Float32Array(3 * corners.length), new Float32Array(3 * corners.length)];
  const [own, other, sum] = [new Vector3(), new Vector3(), new Vector3()];
  for (let k = 0; k < corners.length; k++) {
    const t = 3 * Math.floor(k / 3);
    const most = own.fromArray(faces, t).length() * ROUND_COS;
    sum.set(0, 0, 0);
    for (let i = first[corners[k]]; i < first[corners[k] + 1]; i++) {
      other.fromArray(faces, 3 * Math.floor(list[i] / 3));
      if (own.dot(other) >= most * other.length()) sum.add(other);
    }
    sum.normalize().toArray(normals, 3 * k);
    for (let j = 0; j < 3; j++) positions[3 * k + j] = at[3 * corners[k] + j];
  }
  const geometry = new BufferGeometry();
  geometry.setAttribute("position", new BufferAttribute(positions, 3));
  geometry.setAttribute("normal", new BufferAttribute(normals, 3));
  return geometry;
}

// The edges of a part that are smooth (1) or not (0), as pairs of places.
function edgesOf(part, smooth) {
  const at = places(part, part.edges);
  const pairs = [];
  let start = 0;
  part.lengths.forEach((count, k) => {
    for (let i = start; part.smooth[k] === smooth && i < start + count - 1; i++) {
      pairs.push(...at.subarray(3 * i, 3 * i + 6));
    }
    start += count;
  });
  const geometry = new BufferGeometry();
  geometry.setAttribute("position", new BufferAttribute(new Float32Array(pairs), 3));
  return geometry;
}

// Where a plane cuts the triangles, as pairs of places.
function cutLines(at, corners, plane) {
  const out = [];
  const points = [new Vector3(), new Vector3(), new Vector3()];
  const off = [0, 0, 0];
  for (let t = 0; t < corners.length; t += 3) {
    for (let k = 0; k < 3; k++) {
      off[k] = plane.distanceToPoint(points[k].fromArray(at, 3 * corners[t + k])) || 1e-9;
    }
    for (let k = 0; k < 3; k++) {
      const n = (k + 1) % 3;
      if (off[k] > 0 === off[n] > 0) continue;
      const share = off[k] / (off[k] - off[n]);
      for (const axis of ["x", "y", "z"]) out.push(points[k][axis] + share * (points[n][axis] - points[k][axis]));
    }
  }
  return new BufferAttribute(new Float32Array(out), 3);
}

// Back faces count up and front faces down where they are cut open: what is left over is the cut face.
function counted(geometry, side, operation, cut, order) {
  const material = new MeshBasicMaterial({
    side,
    clippingPlanes: [cut],
    colorWrite: false,
    depthWrite: false,
    depthTest: false,
    stencilWrite: true,
    stencilFunc: AlwaysStencilFunc,
    stencilFail: operation,
    stencilZFail: operation,
    stencilZPass: operation,
  });
  const mesh = new Mesh(geometry, material);
  mesh.renderOrder = order;
  return mesh;
}

function capOf(colour, size, order) {
  const material = new MeshBasicMaterial({
    color: colour,
    side: 2,
    stencilWrite: true,
    stencilRef: 0,
    stencilFunc: NotEqualStencilFunc,
    stencilFail: ReplaceStencilOp,
    stencilZFail: ReplaceStencilOp,
    stencilZPass: ReplaceStencilOp,
    polygonOffset: true,
    polygonOffsetFactor: 1,
    polygonOffsetUnits: 1,
  });
  material.color.lerp(material.color.clone().set("#ffffff"), 0.45);
  const mesh = new Mesh(new PlaneGeometry(size, size), material);
  mesh.renderOrder = order;
  mesh.onAfterRender = (renderer) => renderer.clearStencil();
  return mesh;
}

// One part: its surface, its edges, and its cut face with the counting for it.
export function bodyOf(part, colours, cut, size, number) {
  const at = places(part, part.corners);
  const corners = new (part.wide ? Uint32Array : Uint16Array)(bytes(part.triangles));
  const geometry = shaded(at, corners);
  const behind = { polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1 }; // the edges
  const look = { color: part.colour, side: FrontSide, ...behind };
  const surface = new Mesh(geometry, new MeshLambertMaterial(look));
  surface.renderOrder = 1000;
  const lines = [0, 1].map((smooth) => {
    const look = { color: smooth ? colours.quiet : colours.ink, transparent: smooth === 1, opacity: smooth ? 0.35 : 1 };
    const line = new LineSegments(edgesOf(part, smooth), new LineBasicMaterial(look));
    line.renderOrder = 1001;
    return line;
  });
  const cap = capOf(part.colour, size, number + 0.2);
  const counting = [
    counted(geometry, BackSide, IncrementWrapStencilOp, cut, number + 0.1),
    counted(geometry, FrontSide, DecrementWrapStencilOp, cut, number + 0.1),
  ];
  const rim = new LineSegments(new BufferGeometry(), new LineBasicMaterial({ color: colours.ink }));
  rim.renderOrder = 1001;
  rim.frustumCulled = false;
  const recut = () => rim.geometry.setAttribute("position", cutLines(at, corners, cut));
  const group = new Group();
  group.add(surface, ...lines, cap, rim, ...counting);
  geometry.computeBoundingBox();
  return { group, box: geometry.boundingBox, shown: [surface, ...lines], cap, recut, cutting: [cap, rim, ...counting] };
}
