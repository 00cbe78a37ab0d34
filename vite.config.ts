import react from '@vitejs/plugin-react';
import { defineConfig } from 'vite';

// The window: everything in one folder, no address outside it, no inline script (the content security policy forbids it).
export default defineConfig({
  root: 'renderer',
  base: './',
  plugins: [react()],
  build: {
    outDir: '../dist/renderer',
    emptyOutDir: true,
    target: 'chrome120',
    modulePreload: { polyfill: false },
    assetsInlineLimit: 0,
    // The limit that matters is 350 kB compressed; a test holds it.
    chunkSizeWarningLimit: 900,
  },
});
