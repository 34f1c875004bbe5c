import { svelte } from '@sveltejs/vite-plugin-svelte';
import { VitePWA } from 'vite-plugin-pwa';
import { defineConfig } from 'vitest/config';

// The core is larger than what a service worker keeps unless told.
const precacheMost = 16 << 20; // bytes

export default defineConfig({
  plugins: [
    svelte(),
    VitePWA({
      registerType: 'autoUpdate',
      injectRegister: 'script-defer', // a file of its own: the page allows no inline script
      includeAssets: ['icon.svg'],
      manifest: {
        name: 'Evenfall',
        short_name: 'Evenfall',
        description: 'Measure a plot, mix for its true size, plan the passes, print the page.',
        display: 'standalone',
        start_url: '/',
        background_color: '#ffffff',
        theme_color: '#ffffff',
        icons: [{ src: 'icon.svg', sizes: 'any', type: 'image/svg+xml', purpose: 'any' }],
      },
      workbox: {
        globPatterns: ['**/*.{js,css,html,svg,wasm,woff2}'],
        maximumFileSizeToCacheInBytes: precacheMost,
        // The front page comes from the server while there is one: its content
        // policy allows the imagery that the user chose last.
        directoryIndex: '',
        navigateFallback: null,
        runtimeCaching: [
          {
            urlPattern: ({ request, url }) => request.mode === 'navigate' && !/^\/(api|tiles)\//.test(url.pathname),
            handler: 'NetworkFirst',
            options: { cacheName: 'front', networkTimeoutSeconds: 4, precacheFallback: { fallbackURL: 'index.html' } },
          },
        ],
      },
    }),
  ],
  worker: { format: 'es' },
  build: {
    target: 'es2022',
    outDir: 'dist',
    assetsInlineLimit: 0, // data: addresses would need a wider content policy
    sourcemap: false,
  },
  server: {
    proxy: { '/api': 'http://127.0.0.1:8321', '/tiles': 'http://127.0.0.1:8321' },
  },
  test: {
    environment: 'jsdom',
    include: ['src/**/*.test.ts'],
  },
  resolve: process.env['VITEST'] ? { conditions: ['browser'] } : {},
});
