import "./generated/tokens.css";
import "./styles/fonts.css";
import "./styles/page.css";
import "./styles/parts.css";
import "./styles/screens.css";
import "./styles/rider.css";
import "./styles/print.css";

import { render } from "preact";

import { startKeyboard } from "./keyboard";
import { startRouter } from "./router";
import { Shell } from "./shell";
import { startTheme } from "./theme";

startTheme();
startRouter();
startKeyboard();
const page = document.getElementById("page");
if (page !== null) {
  render(<Shell />, page);
}
