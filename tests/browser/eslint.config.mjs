/* The rules the shop page's script is held to.  Its pieces are one script: names of one are seen in the others. */
const browser = Object.fromEntries(["document", "window", "Node", "URL"].map((name) => [name, "readonly"]));

export default [{
  files: ["**/*.js"],
  languageOptions: { ecmaVersion: 2022, sourceType: "script", globals: browser },
  linterOptions: { reportUnusedDisableDirectives: "error" },
  rules: {
    "no-undef": "error", "no-unused-vars": "error", "no-redeclare": "error", "no-shadow": "error", "no-var": "error", "prefer-const": "error",
    eqeqeq: "error", curly: ["error", "multi-line"], "no-eval": "error", "no-implied-eval": "error", "no-new-func": "error",
    "no-unreachable": "error", "no-fallthrough": "error", "no-dupe-keys": "error", "no-param-reassign": "error", "consistent-return": "error",
    "no-restricted-properties": ["error", ...["innerHTML", "outerHTML", "insertAdjacentHTML", "write"].map((property) => ({ property }))],
    "max-len": ["error", { code: 160 }], "max-lines-per-function": ["error", 60], complexity: ["error", 16], strict: ["error", "global"]
  }
}];
