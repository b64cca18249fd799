// Reads the GLB that furnigen writes: interleaved nothing, one primitive a mesh, nodes that turn and shift.

import { BufferAttribute, BufferGeometry, Color, Quaternion, Vector3 } from "three";

const UNSIGNED_SHORT = 5123;

/**
 * @param {ArrayBuffer} file
 * @returns {{label: string, geometry: BufferGeometry, colour: Color, turn: Quaternion, shift: Vector3}[]}
 *   the placed copies, in metres, Y up; copies of one part share their geometry
 */
export function readGlb(file) {
  const head = new DataView(file);
  const length = head.getUint32(12, true);
  const tree = JSON.parse(new TextDecoder().decode(new Uint8Array(file, 20, length)));
  const binary = file.slice(28 + length);
  const array = index => {
    const { bufferView, byteOffset = 0, componentType, count, type } = tree.accessors[index];
    const start = (tree.bufferViews[bufferView].byteOffset || 0) + byteOffset;
    if (type === "VEC3") {
      return new BufferAttribute(new Float32Array(binary, start, count * 3), 3);
    }
    // triangles of meshes of few corners take two bytes a corner
    const Numbers = componentType === UNSIGNED_SHORT ? Uint16Array : Uint32Array;
    return new BufferAttribute(new Numbers(binary, start, count), 1);
  };
  const meshes = tree.meshes.map(({ primitives: [{ attributes, indices, material }] }) => {
    const geometry = new BufferGeometry();
    geometry.setAttribute("position", array(attributes.POSITION));
    geometry.setAttribute("normal", array(attributes.NORMAL));
    geometry.setIndex(array(indices));
    const [r, g, b] = tree.materials[material].pbrMetallicRoughness.baseColorFactor;
    return { geometry, colour: new Color(r, g, b) };
  });
  return tree.nodes
    .filter(node => node.mesh !== undefined)
    .map(node => ({
      label: node.name,
      ...meshes[node.mesh],
      turn: new Quaternion(...(node.rotation || [0, 0, 0, 1])),
      shift: new Vector3(...(node.translation || [0, 0, 0])),
    }));
}
