// A stage whose parts are put in place of others at every change, seen from where one was looking.

import { Box3, Sphere } from "three";
import { Stage } from "../stage.js";

const GROWN = 1.3; // a piece that became larger or smaller by more is looked at anew

export class LiveStage extends Stage {
  /** @param {ReturnType<import("../glb.js").readGlb>} copies */
  show(copies) {
    const before = this.sphere.clone();
    const edges = this.edges[0]?.visible ?? true;
    const hidden = new Set([...this.parts.values()].filter(p => p.hidden).map(p => p.label));
    this.clear();
    this.edges = [];
    this.parts = new Map(copies.map(copy => [copy.label, this.add(copy)]));
    for (const edge of this.edges) edge.visible = edges;
    for (const label of hidden) if (this.parts.has(label)) this.parts.get(label).hidden = true;
    this.bounds = new Box3().setFromObject(this.root);
    this.sphere = this.bounds.getBoundingSphere(new Sphere());
    const grown = this.sphere.radius / before.radius;
    if (grown > GROWN || grown < 1 / GROWN) {
      this.look(this.last);
    } else {
      const shift = this.sphere.center.clone().sub(before.center);
      this.controls.target.add(shift);
      this.camera.position.add(shift);
      this.controls.update();
    }
    this.draw();
  }

  clear() {
    const geometries = new Set();
    for (const { mesh, edge } of this.parts.values()) {
      geometries.add(mesh.geometry).add(edge.geometry);
      mesh.material.dispose();
      edge.material.dispose();
      this.root.remove(mesh);
    }
    for (const geometry of geometries) geometry.dispose();
  }
}
