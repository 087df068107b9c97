// @vitest-environment node
import { expect, it } from "vitest";
import { bannerTag } from "./banner.ts";

it("goes under the tag that the server gives the same clock's push, so that both are one banner", async () => {
  // The server's own example: temperward.delivery.message.tag_of.
  expect(await bannerTag("brittle:1")).toBe("839IIvgwK3nSjK7KnRqBmed5wgkJVyjX");
});
