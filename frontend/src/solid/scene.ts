/** The only place that knows the 3D library. Draws when something changed, never in a loop. */

import {
  BufferAttribute, BufferGeometry, Color, CylinderGeometry, DirectionalLight, DoubleSide, HemisphereLight, InstancedMesh,
  Matrix4, Mesh as Solid, MeshLambertMaterial, PCFShadowMap, PerspectiveCamera, Scene, SphereGeometry, Vector3, WebGLRenderer,
} from "three";
import { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";
import { usesOf, type Parts } from "../parts/model";
import { cellMesh, farOff, groundMesh, standing, type Mesh } from "./shapes";
import type { Sun } from "./sun";

const COLOUR = { earth: "#b79c78", open: "#8a7258", walking: "#e0d3b8", planted: "#6d5a41", leaf: "#6f7f43", stem: "#6b4e37", sky: "#f4eee1" };

export interface View3d {
  show(parts: Parts, plants: boolean): void;
  light(sun: Sun | null, north: number): void;
  orbit(across: number, up: number, nearer: number): void;
  resize(width: number, height: number): void;
  close(): void;
}

/** Start drawing on a canvas. Throws where the browser has no WebGL. */
export const startView = (canvas: HTMLCanvasElement): View3d => {
  const renderer = new WebGLRenderer({ canvas, antialias: true });
  renderer.shadowMap.enabled = true;
  renderer.shadowMap.type = PCFShadowMap;
  const scene = new Scene();
  scene.background = new Color(COLOUR.sky);
  const camera = new PerspectiveCamera(40, 1, 0.1, 5000);
  camera.up.set(0, 0, 1);
  const controls = new OrbitControls(camera, canvas);
  controls.enableDamping = false;
  controls.maxPolarAngle = Math.PI * 0.49;
  const sky = new HemisphereLight("#fffaf0", "#a08c6c", 1.6), sun = new DirectionalLight("#fff1d6", 2.6);
  sun.castShadow = true;
  sun.shadow.mapSize.set(1024, 1024);
  sky.position.set(0, 0, 1); // up is z here
  scene.add(sky, sun, sun.target);
  const middle = new Vector3();
  let size = 10, solids: (Solid | InstancedMesh)[] = [], frame = 0, placed = false;

  const draw = (): void => {
    cancelAnimationFrame(frame);
    frame = requestAnimationFrame(() => renderer.render(scene, camera));
  };
  controls.addEventListener("change", draw);

  const put = (mesh: Mesh, colour: string, casts: boolean): void => {
    const geometry = new BufferGeometry();
    geometry.setAttribute("position", new BufferAttribute(mesh.places, 3));
    geometry.setIndex(new BufferAttribute(mesh.triangles, 1));
    const flat = geometry.toNonIndexed(); // sharp edges between walls
    const shaped = casts ? flat : geometry;
    shaped.computeVertexNormals();
    const solid = new Solid(shaped, new MeshLambertMaterial({ color: colour, side: DoubleSide }));
    solid.castShadow = casts;
    solid.receiveShadow = true;
    solids.push(solid);
    scene.add(solid);
  };

  const stand = (parts: Parts): void => {
    const all = standing(parts.plants!);
    const crown = new InstancedMesh(new SphereGeometry(0.5, 10, 7), new MeshLambertMaterial({ color: COLOUR.leaf }), all.length);
    const stem = new InstancedMesh(new CylinderGeometry(0.5, 0.6, 1, 6).rotateX(Math.PI / 2), new MeshLambertMaterial({ color: COLOUR.stem }), all.length);
    all.forEach((p, i) => {
      const clear = p.stem ? p.height * 0.3 : 0, tall = p.height - clear;
      crown.setMatrixAt(i, new Matrix4().makeScale(p.spread, p.spread, tall).setPosition(p.x, p.y, p.z + clear + tall / 2));
      const wide = p.stem ? Math.max(0.05, p.spread * 0.05) : 1e-4;
      stem.setMatrixAt(i, new Matrix4().makeScale(wide, wide, Math.max(clear, 1e-4)).setPosition(p.x, p.y, p.z + clear / 2));
    });
    for (const each of [crown, stem]) {
      each.castShadow = true;
      each.receiveShadow = true;
      solids.push(each);
      scene.add(each);
    }
  };

  const look = (mesh: Mesh, up: Vector3): void => {
    if (placed) return;
    placed = true;
    const geometry = new BufferGeometry();
    geometry.setAttribute("position", new BufferAttribute(mesh.places, 3));
    geometry.computeBoundingSphere();
    middle.copy(geometry.boundingSphere!.center);
    size = geometry.boundingSphere!.radius;
    controls.target.copy(middle);
    // from the foot of the slope, above the heads, as far off as shows it whole
    const away = new Vector3(0.55, 0, 1.25).addScaledVector(up, -1.9).normalize();
    const aspect = canvas.clientWidth / Math.max(1, canvas.clientHeight);
    camera.position.copy(middle).addScaledVector(away, size * farOff((camera.fov * Math.PI) / 180, aspect));
    controls.update();
  };

  return {
    show: (parts, plants) => {
      for (const solid of solids) {
        scene.remove(solid);
        solid.geometry.dispose();
        (solid.material as MeshLambertMaterial).dispose();
      }
      solids = [];
      const { ground, cells } = parts, use = usesOf(parts);
      if (ground) put(groundMesh(ground), COLOUR.earth, false);
      if (cells?.n) {
        const names = ["open", "walking", "planted"] as const;
        names.forEach((name, k) => put(cellMesh(cells, (i) => use[i] === k), COLOUR[name], true));
        const c = cells.corners, up = new Vector3(c[0] - c[9], c[1] - c[10], 0).normalize();
        look(cellMesh(cells, () => true), up);
      } else if (ground) look(groundMesh(ground), new Vector3(0, 1, 0));
      if (plants && parts.plants) stand(parts);
      draw();
    },
    light: (at, north) => {
      sun.visible = !!at && at.height > 0;
      sky.intensity = sun.visible ? 1.6 : at ? 0.9 : 2.6; // by night dim; where no sun is known even
      if (at) {
        // +y of the hill bears `north`; the sun bears at.bearing
        const a = at.bearing - north, flat = Math.cos(at.height) * 4 * size;
        sun.target.position.copy(middle);
        sun.position.set(middle.x + flat * Math.sin(a), middle.y + flat * Math.cos(a), middle.z + Math.sin(at.height) * 4 * size);
        const box = sun.shadow.camera, r = size * 1.25;
        Object.assign(box, { left: -r, right: r, top: r, bottom: -r, near: 0.5, far: size * 8 });
        box.updateProjectionMatrix();
        sun.shadow.normalBias = 0.03;
      }
      draw();
    },
    orbit: (across, up, nearer) => {
      const arm = camera.position.clone().sub(controls.target);
      arm.applyAxisAngle(camera.up, across);
      const side = new Vector3().crossVectors(arm, camera.up).normalize();
      const lifted = arm.clone().applyAxisAngle(side, up);
      if (Math.abs(lifted.clone().normalize().z) < 0.985 && lifted.z > 0) arm.copy(lifted);
      camera.position.copy(controls.target).addScaledVector(arm, nearer);
      controls.update();
      draw();
    },
    resize: (width, height) => {
      renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
      renderer.setSize(width, height, false);
      camera.aspect = width / Math.max(1, height);
      camera.updateProjectionMatrix();
      draw();
    },
    close: () => {
      cancelAnimationFrame(frame);
      controls.dispose();
      renderer.dispose();
    },
  };
};
