"use client";

import { useEffect } from "react";

/**
 * Between two pages the framework takes the old title away before the new one is there, on a slow device for seconds: the tab
 * would have no name, nor the page for who listens to it. The last one stays until the next has come.
 */
export function useKeptTitle(): void {
  useEffect(() => {
    const kept = document.createElement("title");
    let last = document.title;
    const look = () => {
      const [own] = [...document.head.querySelectorAll("title")].filter((title) => title !== kept);
      if (own?.textContent) {
        last = own.textContent;
        kept.remove();
      } else if (!kept.isConnected && last !== "") {
        kept.textContent = last;
        document.head.append(kept);
      }
    };
    const observer = new MutationObserver(look);
    observer.observe(document.head, { childList: true, subtree: true, characterData: true });
    look();
    return () => {
      observer.disconnect();
      kept.remove();
    };
  }, []);
}
