// Chooses the face at the start: the window's where the pages run in one, the loopback one elsewhere. It never
// changes its mind later.
import type { Face } from './face';
import { loopback } from './loopback';

declare global {
  interface Window {
    __TAURI_INTERNALS__?: unknown;
  }
}

/** The face of the program that shows these pages. */
export async function choose(): Promise<Face> {
  if (window.__TAURI_INTERNALS__ === undefined) return loopback();
  const { tauri } = await import('./tauri');
  return tauri();
}
