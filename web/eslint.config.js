import js from "@eslint/js";
import { defineConfig } from "eslint/config";
import typescript from "typescript-eslint";

export default defineConfig([
  { ignores: ["dist", "src/generated", "node_modules"] },
  {
    files: ["src/**/*.{ts,tsx}"],
    extends: [js.configs.recommended, typescript.configs.strictTypeChecked],
    languageOptions: { parserOptions: { projectService: true, tsconfigRootDir: import.meta.dirname } },
    rules: {
      // Numbers read well in a template; everything else is still refused.
      "@typescript-eslint/restrict-template-expressions": ["error", { allowNumber: true }],
      "@typescript-eslint/no-confusing-void-expression": ["error", { ignoreArrowShorthand: true }],
      "@typescript-eslint/switch-exhaustiveness-check": "error",
      eqeqeq: "error",
      "no-console": "error",
    },
  },
]);
