/* How the page is built: hashed files, nothing inline, so that it runs under a policy that allows
 * only files of the same origin. */
import { defineConfig } from "vitest/config";

export default defineConfig({
  base: "/",
  build: {
    target: "es2022",
    assetsInlineLimit: 0,
    cssCodeSplit: false,
    modulePreload: { polyfill: false },
    reportCompressedSize: false,
    // What several screens share is one file, and so are the screens of riders and the
    // record: small ones compress badly.
    rolldownOptions: { output: { codeSplitting: { groups: [
      { name: "shared", minShareCount: 2 },
      { name: "riders", test: /src\/(bests|draft|screens\/(bests|draft|record|rider))/ },
    ] } } },
  },
  // `npm run dev` beside a running `plumbline serve`.
  server: {
    proxy: { "/api": { target: process.env["PLUMBLINE_SERVER"] ?? "http://127.0.0.1:8080" } },
  },
  test: {
    include: ["src/**/*.test.{ts,tsx}"],
    // A test that needs a page says so in its first line: @vitest-environment happy-dom.
    environment: "node",
    setupFiles: ["src/test_setup.ts"],
    restoreMocks: true,
  },
});
