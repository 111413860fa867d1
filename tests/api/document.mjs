/* The document, the schemas that it refers to, and validators of both. */
import { readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import path from "node:path";

import Ajv from "ajv/dist/2020.js";
import addFormats from "ajv-formats";
import { parse } from "yaml";

const folder = path.join(path.dirname(fileURLToPath(import.meta.url)), "..", "..", "api");
const shapes = ["ride", "rider", "roster", "scene"];

export const document = parse(readFileSync(path.join(folder, "openapi.yaml"), "utf8"));

/** The document alone: what it refers to elsewhere stands open. */
export function without_others() {
  return JSON.parse(JSON.stringify(document), (key, value) =>
    value !== null && typeof value === "object" && typeof value.$ref === "string" && !value.$ref.startsWith("#") ? {} : value);
}

const ajv = new Ajv({ strict: false, allErrors: true });
addFormats(ajv);
for (const shape of shapes) {
  ajv.addSchema(JSON.parse(readFileSync(path.join(folder, `${shape}.schema.json`), "utf8")), `${shape}.schema.json`);
}
ajv.addSchema(document, "openapi.yaml");

/* The document's own schemas find one another by a pointer from its top. */
function compile(schema) {
  const absolute = JSON.parse(JSON.stringify(schema), (key, value) =>
    key === "$ref" && value.startsWith("#") ? `openapi.yaml${value}` : value);
  return ajv.compile(absolute);
}

/** What is wrong with a value, in lines; nothing when it is as the schema says. */
export function faults(schema, value) {
  const validate = compile(schema);
  return validate(value) ? [] : validate.errors.slice(0, 8).map((error) => `${error.instancePath}: ${error.message} ${JSON.stringify(error.params)}`);
}

export function schema_names() {
  return Object.keys(document.components.schemas);
}

export function named(name) {
  return { $ref: `#/components/schemas/${name}` };
}

/** A part of the document that may be a reference within it. */
export function resolved(part) {
  return part.$ref === undefined ? part
    : part.$ref.slice(2).split("/").reduce((at, step) => at[step], document);
}

const METHODS = ["get", "post", "put", "delete"];

/** Every documented operation: { id, method, pattern, operation }. */
export function operations() {
  return Object.entries(document.paths).flatMap(([pattern, item]) =>
    METHODS.filter((method) => item[method] !== undefined).map((method) => ({
      id: item[method].operationId,
      method: method.toUpperCase(),
      pattern,
      parameters: [...(item.parameters ?? []), ...(item[method].parameters ?? [])].map(resolved),
      operation: item[method],
    })));
}
