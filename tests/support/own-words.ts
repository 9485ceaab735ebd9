import ts from "typescript";

/** Attributes and properties whose texts are for machines. */
const FOR_MACHINES = new Set(
  "className class href src id key htmlFor type role method target rel name value autoComplete inputMode operation kind d viewBox preserveAspectRatio fill stroke points transform pattern accept encType scope lang popover popoverTarget popoverTargetAction aria-live aria-current aria-controls aria-labelledby aria-describedby data preload crossOrigin as sizes media charSet content-type token symbol align aria-keyshortcuts fontFamily".split(
    " ",
  ),
);
/** Calls whose texts are for machines. */
const CALLS =
  /(^|\.)(startsWith|endsWith|includes|indexOf|querySelector|querySelectorAll|closest|matches|matchMedia|getElementById|addEventListener|removeEventListener|getAttribute|setAttribute|removeAttribute|replace|replaceAll|split|join|fetch|toLocaleString|DateTimeFormat|getPropertyValue|createElement|RegExp|import|postJson|getJson|classOf|on|off|get|set|has|append|open|getContext|setTextStyle|push_|useContext|createContext|localeCompare|register|ownSetting|keepOwnSetting)$/;
const HUMAN = /\p{L}{2,}[^\p{L}]* [^\p{L}]*\p{L}{2,}|^\p{Lu}\p{Ll}+|\p{Ll}{3,} 0|0 \p{Ll}{3,}/u;
const NOT_HUMAN =
  /^(\/|\.|#|https?:|use |@|[a-z-]+\/[a-z])|[{}[\]]=?|=>|^[a-z ]+\/0?$|^[a-z]+(-[a-z0-9]+)+( [a-z]+(-[a-z0-9]+)*)*$|^[A-Z][a-z]+\/[A-Z]/;

const letters = (text: string) => /\p{L}{2}/u.test(text);

/** Text of a template with its gaps as figures. */
export const templateText = (node: ts.TemplateExpression) =>
  node.head.text + node.templateSpans.map((span) => `0${span.literal.text}`).join("");

/** Whether what a node gives is shown as it is: a child of an element, through conditions. */
function isShown(node: ts.Node): boolean {
  let at = node;
  for (;;) {
    const up = at.parent;
    if (ts.isParenthesizedExpression(up)) at = up;
    else if (ts.isConditionalExpression(up) && up.condition !== at) at = up;
    else if (ts.isBinaryExpression(up) && up.right === at && ["&&", "||", "??"].includes(up.operatorToken.getText()))
      at = up;
    else if (ts.isArrowFunction(up) && up.body === at && ts.isPropertyAssignment(up.parent))
      return up.parent.name.getText() === "cell";
    else return ts.isJsxExpression(up) && (ts.isJsxElement(up.parent) || ts.isJsxFragment(up.parent));
  }
}

/** Whether a text stands where only machines read. */
function isForMachines(node: ts.Node): boolean {
  for (let at = node; at.parent; at = at.parent) {
    const up = at.parent;
    if (ts.isImportDeclaration(up) || ts.isExportDeclaration(up) || ts.isLiteralTypeNode(up) || ts.isTypeNode(up))
      return true;
    if (ts.isExpressionStatement(up) && at === node) return true;
    if (ts.isCaseClause(up) && up.expression === at) return true;
    if (ts.isElementAccessExpression(up) && up.argumentExpression === at) return true;
    if (ts.isBinaryExpression(up) && /^(===|!==|in|<|>|==|!=)$/.test(up.operatorToken.getText())) return true;
    if (ts.isPropertyAssignment(up) && up.name === at) return true;
    if (ts.isCallExpression(up) && up.expression !== at && CALLS.test(up.expression.getText())) return true;
    if (ts.isNewExpression(up) && CALLS.test(up.expression.getText())) return true;
    if (ts.isJsxAttribute(up)) {
      const name = up.name.getText();
      return (
        FOR_MACHINES.has(name) ||
        name.startsWith("data-") ||
        (/^on[A-Z]/.test(name) === true && at === up.initializer && ts.isStringLiteral(at))
      );
    }
    if (ts.isPropertyAssignment(up) && up.initializer === at && ts.isStringLiteralLike(at)) {
      const name = up.name.getText().replaceAll(/["']/g, "");
      if (name !== "name" && FOR_MACHINES.has(name)) return true;
    }
    if (ts.isFunctionLike(up) || ts.isJsxElement(up) || ts.isJsxFragment(up) || ts.isStatement(up)) return false;
  }
  return false;
}

/** Whether a node of a screen's source holds words of its own that somebody reads. */
export function isOwnWord(node: ts.Node): boolean {
  if (ts.isJsxText(node)) return letters(node.text);
  const text =
    ts.isStringLiteral(node) || ts.isNoSubstitutionTemplateLiteral(node)
      ? node.text
      : ts.isTemplateExpression(node)
        ? templateText(node)
        : null;
  if (text === null || !letters(text) || isForMachines(node)) return false;
  if (isShown(node)) return true;
  return HUMAN.test(text) && !NOT_HUMAN.test(text);
}

/** Every text of a screen's source that somebody reads and that is not from the words. */
export function ownWords(source: string): string[] {
  const found: string[] = [];
  const visit = (node: ts.Node): void => {
    if (isOwnWord(node)) found.push((node as ts.JsxText).text?.trim() ?? templateText(node as ts.TemplateExpression));
    else ts.forEachChild(node, visit);
  };
  visit(ts.createSourceFile("x.tsx", source, ts.ScriptTarget.Latest, true, ts.ScriptKind.TSX));
  return found;
}
