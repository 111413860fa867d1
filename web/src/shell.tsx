/* What stands around every screen: the skip link, header and navigation, lines that say what was
 * done or went wrong, and the screen itself, which gets the focus when it is come to. */
import { useEffect, useMemo, useRef, useState } from "preact/hooks";
import type { ComponentType } from "preact";

import { type Key, keyTables, withKeys } from "./keyboard";
import { importAsked, imports, filesOfDrop } from "./imports";
import { labels } from "./labels";
import { rereading, startLive } from "./live";
import { Act } from "./parts/act";
import { Dialog } from "./parts/dialog";
import { ImportPanel, ImportProgress } from "./parts/import_panel";
import { arrivals, go, match, type Parameters, place } from "./router";
import { navigation, type Route, routes, type ScreenProps } from "./routes";
import { leaveExample } from "./screens/welcome";
import { complain, hush, loadSession, notice, screenTitle, session, spoken, trouble, undo, waiting } from "./state";
import { chooseTheme, type Theme, theme } from "./theme";

function find(path: string): { route: Route; parameters: Parameters } | null {
  for (const route of routes) {
    const parameters = match(route.pattern, path);
    if (parameters !== null) {
      return { route, parameters };
    }
  }
  return null;
}

/* The rider whose page is shown: rides taken in here are likely that rider's. */
function riderHere(): number | null {
  const id = Number(match("/riders/:rider", place.value.path)?.["rider"]);
  return Number.isSafeInteger(id) && id > 0 ? id : null;
}

/* ---- the header ---- */

function Header({ under, onKeys }: { readonly under: Route["under"]; readonly onKeys: () => void }) {
  return (
    <div class="header">
      <a class="wordmark" href="/">{labels.appName}</a>
      <nav class="navigation" aria-label={labels.navigation}>
        {navigation.map((word) => (
          <a key={word.href} href={word.href} {...(word.is === under ? { "aria-current": "page" as const } : {})}>
            {word.label}
          </a>
        ))}
      </nav>
      <div class="header-end">
        <Act quiet onAct={() => { importAsked.value = { rider: riderHere(), files: [] }; }}>{labels.importTitle}</Act>
        <ThemeChoice />
        <button class="act act-quiet" type="button" onClick={onKeys}>{labels.keysOpen}</button>
      </div>
    </div>
  );
}

const THEMES: readonly { readonly value: Theme; readonly label: string }[] = [
  { value: "system", label: labels.asSystem },
  { value: "light", label: labels.light },
  { value: "dark", label: labels.dark },
];

function ThemeChoice() {
  return (
    <select class="theme" aria-label={labels.theme} value={theme.value}
            onChange={(event) => {
              const chosen = THEMES.find((row) => row.value === event.currentTarget.value);
              chooseTheme(chosen?.value ?? "system");
            }}>
      {THEMES.map((row) => <option key={row.value} value={row.value}>{row.label}</option>)}
    </select>
  );
}

/* ---- lines under it ---- */

function Lines() {
  const said = notice.value;
  const change = said?.change ?? null;
  return (
    <div class="lines">
      {session.value?.example === true && (
        <p class="line line-banner">
          {labels.exampleBanner} <Act quiet onAct={() => void leaveExample()}>{labels.exampleLeave}</Act>
        </p>
      )}
      {waiting.value > 0 && (
        <p class="line" role="status">
          {labels.beingRead(waiting.value)}
          {rereading.value !== null && <> {labels.beingReadDone(rereading.value.done, rereading.value.all)}</>}
        </p>
      )}
      {imports.value.length > 0 && importAsked.value === null && (
        <div class="line">
          <ImportProgress />{" "}
          <Act quiet onAct={() => { importAsked.value = { rider: null, files: [] }; }}>{labels.show}</Act>{" "}
          <Act quiet onAct={() => { imports.value = []; }}>{labels.dismiss}</Act>
        </div>
      )}
      {trouble.value !== null && (
        <p class="line line-trouble" role="alert">
          {trouble.value} <Act quiet onAct={hush}>{labels.dismiss}</Act>
        </p>
      )}
      {said !== null && (
        <p class="line line-said">
          {said.words}{" "}
          {change !== null && <Act quiet onAct={() => void undo(change)}>{labels.undo}</Act>}{" "}
          <Act quiet onAct={hush}>{labels.dismiss}</Act>
        </p>
      )}
    </div>
  );
}

/* Files dropped anywhere open the panel, which asks whose they are. */
function startDrops(): () => void {
  const hasFiles = (event: DragEvent): boolean => event.dataTransfer?.types.includes("Files") === true;
  const onOver = (event: DragEvent): void => {
    if (hasFiles(event)) {
      event.preventDefault();
    }
  };
  const onDrop = (event: DragEvent): void => {
    if (hasFiles(event) && event.dataTransfer !== null) {
      event.preventDefault();
      filesOfDrop(event.dataTransfer)
        .then((files) => {
          importAsked.value = { rider: riderHere(), files };
        })
        .catch(complain);
    }
  };
  window.addEventListener("dragover", onOver);
  window.addEventListener("drop", onDrop);
  return () => {
    window.removeEventListener("dragover", onOver);
    window.removeEventListener("drop", onDrop);
  };
}

/* ---- keys ---- */

function Keys({ onClose }: { readonly onClose: () => void }) {
  return (
    <Dialog title={labels.keys} onClose={onClose}>
      <table class="keys">
        <tbody>
          {keyTables.value.flat().map((row) => (
            <tr key={row.keys.join(" ")}>
              <td>{row.keys.map((key) => <kbd key={key}>{key}</kbd>)}</td>
              <td>{row.does}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </Dialog>
  );
}

/* ---- the screen ---- */

function NotFound() {
  return (
    <>
      <h1>{labels.notFound}</h1>
      <p><a href="/">{labels.notFoundBack}</a></p>
    </>
  );
}

function Outlet({ route, parameters }: { readonly route: Route; readonly parameters: Parameters }) {
  const [screen, setScreen] = useState<{ route: Route; Body: ComponentType<ScreenProps> } | null>(null);
  useEffect(() => {
    let here = true;
    route
      .load()
      .then((loaded) => {
        if (here) {
          setScreen({ route, Body: loaded.default });
        }
      })
      .catch(() => {
        trouble.value = labels.unexpected;
      });
    return () => {
      here = false;
    };
  }, [route]);
  if (screen?.route !== route) {
    return <p class="loading">{labels.loading}</p>;
  }
  // A screen of another rider is another screen: nothing typed in one stays in the other.
  return <screen.Body key={JSON.stringify(parameters)} parameters={parameters} />;
}

export function Shell() {
  const main = useRef<HTMLElement>(null);
  const [showsKeys, setShowsKeys] = useState(false);
  const found = useMemo(() => find(place.value.path), [place.value.path]);

  useEffect(() => void loadSession(), []);
  useEffect(startLive, []);
  useEffect(startDrops, []);
  // What was said of one screen is gone on the next, but for what is said while going there.
  useEffect(() => arrivals.subscribe(() => {
    hush();
    screenTitle.value = null;
  }), []);
  useEffect(() => {
    const table: readonly Key[] = [
      { keys: ["?"], does: labels.keysThis, run: () => setShowsKeys(true) },
      { keys: ["g", "w"], does: labels.keysWho, run: () => go("/") },
      { keys: ["g", "r"], does: labels.keysRiders, run: () => go("/riders") },
      { keys: ["i"], does: labels.keysImport, run: () => { importAsked.value = { rider: riderHere(), files: [] }; } },
    ];
    return withKeys(table);
  }, []);
  useEffect(() => {
    document.title = `${screenTitle.value ?? found?.route.title ?? labels.notFound} · ${labels.appName}`;
  }, [found, screenTitle.value]);
  // Who comes to another screen begins at its top, with the focus there: readers hear its heading.
  useEffect(() => {
    if (arrivals.value > 0) {
      window.scrollTo(0, 0);
      main.current?.focus({ preventScroll: true });
    }
  }, [arrivals.value]);

  return (
    <>
      <a class="skip" href="#screen">{labels.skip}</a>
      <header>
        <Header under={found?.route.under ?? null} onKeys={() => setShowsKeys(true)} />
        <Lines />
      </header>
      <main class="screen" id="screen" ref={main} tabIndex={-1}>
        {found === null ? <NotFound /> : <Outlet route={found.route} parameters={found.parameters} />}
      </main>
      <div class="only-read" aria-live="polite">{spoken.value}</div>
      {importAsked.value !== null && <ImportPanel />}
      {showsKeys && <Keys onClose={() => setShowsKeys(false)} />}
    </>
  );
}
