import { describe, expect, it } from 'vitest';
import type { Hole } from '../../../src/master/complete/holes.js';
import { materialFor, suitsAt } from '../../../src/master/complete/material.js';
import { generator } from '../../../src/master/complete/random.js';
import { direction } from '../../../src/master/complete/sphere.js';
import type { Canvas } from '../../../src/master/complete/types.js';

const WIDTH = 1024;
const HEIGHT = 512;
const DEGREE = Math.PI / 180;
const zenith: Hole = {
  label: 1,
  centre: [0, 1, 0],
  radius: 45 * DEGREE,
  pole: 1,
  solidAngle: 2 * Math.PI * (1 - Math.cos(45 * DEGREE)),
  pixels: 1,
};

/**
 * Blue sky, open above latitude 45, with soft pale cloud up to the rim; pale peaks of the cloud's mean colour up to
 * latitude 25 at longitudes -60 to 60, drawn sharply; a cloud with hard edges at longitude 120, and green ground.
 */
function valleyWithPeaks(edge = 45): Canvas {
  const random = generator(7);
  const data = new Uint8Array(WIDTH * HEIGHT * 3);
  const hole = new Uint8Array(WIDTH * HEIGHT);
  for (let y = 0; y < HEIGHT; y++) {
    const latitude = 90 - ((y + 0.5) / HEIGHT) * 180;
    for (let x = 0; x < WIDTH; x++) {
      const longitude = ((x + 0.5) / WIDTH) * 360 - 180;
      const cover = 0.5 + 0.5 * Math.sin(x / 21) * Math.cos(y / 13);
      const wisp = 4 * (random() - 0.5);
      let rgb = [90 + 125 * cover + wisp, 130 + 80 * cover + wisp, 180 + 30 * cover + wisp];
      if (latitude < 25 && Math.abs(longitude) < 60) {
        const rock = 60 * (random() - 0.5);
        rgb = [200 + rock, 200 + rock, 205 + rock];
      }
      if (Math.abs(longitude - 120) < 8 && Math.abs(latitude - 28) < 4) {
        const billow = 30 * ((Math.floor(x / 3) + Math.floor(y / 3)) % 2);
        rgb = [185 + billow, 190 + billow, 195 + billow];
      }
      if (latitude < 0) rgb = [60 + 40 * random(), 90 + 40 * random(), 40];
      const i = y * WIDTH + x;
      hole[i] = latitude > edge ? 1 : 0;
      for (let c = 0; c < 3; c++) data[3 * i + c] = hole[i] ? 0 : rgb[c]!;
    }
  }
  return { width: WIDTH, height: HEIGHT, depth: 8, data, hole };
}

describe('materialFor', () => {
  it('suits up to the very rim, wherever in a cell that lies', () => {
    for (const edge of [45, 44.3, 43.9]) {
      const hole = { ...zenith, radius: (90 - edge) * DEGREE };
      const material = materialFor(valleyWithPeaks(edge), hole, 1);
      let suits = 0;
      for (let longitude = 0; longitude < 360; longitude++) {
        const rim = direction(longitude * DEGREE, (edge - 0.2) * DEGREE);
        suits += suitsAt(material, rim) / 360;
      }
      expect(suits).toBeGreaterThan(0.9);
    }
  });

  it('takes pale peaks for no cloud, yet keeps a cloud with hard edges that stands free', () => {
    const material = materialFor(valleyWithPeaks(), zenith, 1);
    const share = (from: number, to: number, low: number, high: number) => {
      let [all, suits] = [0, 0];
      for (let longitude = from; longitude <= to; longitude++) {
        for (let latitude = low; latitude <= high; latitude++) {
          all++;
          suits += suitsAt(material, direction(longitude * DEGREE, latitude * DEGREE));
        }
      }
      return suits / all;
    };
    expect(share(-59, 59, 8, 24)).toBe(0);
    expect(share(-55, 55, 30, 43)).toBeGreaterThan(0.8);
    expect(share(114, 126, 26, 30)).toBe(1);
    expect(share(150, 175, 12, 43)).toBeGreaterThan(0.8);
  });
});
