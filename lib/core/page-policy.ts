/** Of `display:none`: React hides pieces of drawings with it that it sends ahead of their place. */
const HIDDEN_STYLE = "sha256-aqNNdDLnnrDOnTNdkJpYlAxKVJtLt9CtFLklmInuUAE=";

/**
 * The content security policy of a page (W3C Content Security Policy Level 3): scripts and styles of this server only, an
 * inline one only with the nonce of this very answer, no style attributes but one, nothing from elsewhere, no frame around it.
 * @param development true: React's own error texts need `eval` there
 */
export function pagePolicy(nonce: string, development = false): string {
  return [
    "default-src 'none'",
    `script-src 'self' 'nonce-${nonce}' 'strict-dynamic'${development ? " 'unsafe-eval'" : ""}`,
    `style-src 'self' 'nonce-${nonce}'${development ? " 'unsafe-inline'" : ""}`,
    `style-src-attr 'unsafe-hashes' '${HIDDEN_STYLE}'`,
    "img-src 'self' blob: data:",
    "font-src 'self'",
    "connect-src 'self'",
    "worker-src 'self'",
    "manifest-src 'self'",
    "base-uri 'none'",
    "form-action 'self'",
    "frame-ancestors 'none'",
  ].join("; ");
}
