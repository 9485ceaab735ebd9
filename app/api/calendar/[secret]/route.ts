import { answer } from "@/app/api/answer.ts";
import { readDeadlineFeed } from "@/lib/reads/deadline-feed.ts";

interface Context {
  params: Promise<{ secret: string }>;
}

// The link is the whole of the permission: whoever has it reads the deadlines of one book and nothing else.
export function GET(_request: Request, context: Context): Promise<Response> {
  return answer(async () => {
    const text = await readDeadlineFeed((await context.params).secret, Date.now());
    return new Response(text, {
      headers: { "content-type": "text/calendar; charset=utf-8", "cache-control": "private, no-store" },
    });
  });
}
