import { SHARED_NOT_FOUND } from "@/app/_words/share.ts";
export default function NotFound() {
  return (
    <main className="body">
      <h1>{SHARED_NOT_FOUND.thisLinkOpensNothing}</h1>
      <p>{SHARED_NOT_FOUND.itMayBeOver}</p>
    </main>
  );
}
