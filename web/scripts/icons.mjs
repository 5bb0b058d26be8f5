// Draws the application's icons and writes them as SVG and PNG into public/icons.
// The drawing is this project's own: two hands' worth of strokes passing a key ring across a line of ink.
// Run with `npm run icons` after changing it; the results are committed.
import { Resvg } from '@resvg/resvg-js';
import { mkdirSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

const out = fileURLToPath(new URL('../public/icons/', import.meta.url));
const paper = '#f7f4ec';
const ink = '#1c1b18';
const petrol = '#0e4a4c';

// Everything is drawn on a 512 field and stays inside the middle 80 %, which is what a mask may leave over.
const drawing = `
  <g fill="none" stroke-linecap="round" stroke-linejoin="round">
    <path d="M96 300 C150 262 196 262 240 300" stroke="${ink}" stroke-width="26"/>
    <path d="M416 212 C362 250 316 250 272 212" stroke="${petrol}" stroke-width="26"/>
    <circle cx="256" cy="256" r="62" stroke="${ink}" stroke-width="22"/>
    <path d="M256 318 L256 404 M256 372 L292 372" stroke="${ink}" stroke-width="22"/>
    <path d="M120 124 L392 124" stroke="${petrol}" stroke-width="14"/>
  </g>`;

const icon = (corner) => `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 512 512">
  <rect width="512" height="512" rx="${corner}" fill="${paper}"/>${drawing}
</svg>
`;

const png = (svg, width) => new Resvg(svg, { fitTo: { mode: 'width', value: width } }).render().asPng();

mkdirSync(out, { recursive: true });
writeFileSync(`${out}handsel.svg`, icon(84));
writeFileSync(`${out}handsel-192.png`, png(icon(84), 192));
writeFileSync(`${out}handsel-512.png`, png(icon(84), 512));
writeFileSync(`${out}handsel-maskable-512.png`, png(icon(0), 512));
