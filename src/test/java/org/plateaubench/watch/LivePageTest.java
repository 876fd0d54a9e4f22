package org.plateaubench.watch;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.io.InputStream;
import java.lang.management.ManagementFactory;
import java.lang.management.ThreadInfo;
import java.net.InetAddress;
import java.net.Socket;
import java.nio.charset.StandardCharsets;
import java.time.OffsetDateTime;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.OptionalDouble;
import java.util.concurrent.atomic.AtomicInteger;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.plateaubench.Browser;
import org.plateaubench.clock.Deadline;
import org.plateaubench.engine.Progress;

/** The live page over real sockets, and in a real browser. */
@Timeout(90)
class LivePageTest {

    private static final int PATIENCE_MILLIS = 20_000;

    private static final LivePage.About ABOUT = new LivePage.About(
            "Test night", "A", "a bench", OffsetDateTime.parse("2026-11-24T22:10:00+01:00"), OptionalDouble.of(50.0));

    private static LivePage page(String where) throws IOException {
        LivePage page = LivePage.open(WatchAddress.of(where), ABOUT, 5);
        page.simulated(true);
        return page;
    }

    private static int port(LivePage page) throws IOException {
        return java.net.URI.create(page.urls().get(0)).getPort();
    }

    private static Progress progress(String stage, double coolant) {
        return new Progress(
                stage,
                "slope 1.20 ± 0.10 K/h, limit 1 K/h",
                "1.1/1",
                "700 rpm",
                1,
                6,
                0,
                true,
                coolant,
                coolant - 21,
                700,
                OptionalDouble.of(1.2),
                OptionalDouble.of(1.0),
                7200);
    }

    /** Sends a request as it is and gives the answer's first line and all of its text. */
    private static String raw(int port, String request) throws IOException {
        try (Socket socket = new Socket(InetAddress.getLoopbackAddress(), port)) {
            socket.setSoTimeout(PATIENCE_MILLIS);
            try {
                socket.getOutputStream().write(request.getBytes(StandardCharsets.ISO_8859_1));
                return new String(socket.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
            } catch (IOException e) {
                return "closed"; // refused by closing the connection
            }
        }
    }

    private static String get(int port, String path, String... headers) throws IOException {
        return raw(
                port,
                "GET " + path + " HTTP/1.1\r\n"
                        + (String.join("", headers).contains("Host:") ? "" : "Host: 127.0.0.1:" + port + "\r\n")
                        + String.join(
                                "",
                                List.of(headers).stream().map(h -> h + "\r\n").toList())
                        + "Connection: close\r\n\r\n");
    }

    private static String status(String answer) {
        return answer.isEmpty() || answer.equals("closed") ? "closed" : answer.split(" ")[1];
    }

    @ParameterizedTest
    @ValueSource(
            strings = {
                "/../../etc/passwd",
                "/..%2f..%2fetc/passwd",
                "/page.css/../page.html",
                "//page.css",
                "/live/page.html",
                "/page.css%00",
                "/META-INF/MANIFEST.MF",
                "/%2e%2e/",
                "/events/"
            })
    void onlyTheFilesOfThePageAreThere(String path) throws Exception {
        try (LivePage page = page("127.0.0.1:0")) {
            assertEquals("404", status(get(port(page), path)), path);
        }
    }

    @ParameterizedTest
    @ValueSource(strings = {"POST", "PUT", "DELETE", "HEAD", "OPTIONS", "TRACE", "PATCH", "BREW"})
    void itCanOnlyBeLookedAt(String method) throws Exception {
        try (LivePage page = page("127.0.0.1:0")) {
            int port = port(page);
            String answer =
                    raw(port, method + " / HTTP/1.1\r\nHost: 127.0.0.1:" + port + "\r\nConnection: close\r\n\r\n");
            assertEquals("405", status(answer), answer);
            assertTrue(answer.contains("Allow: GET"), answer);
        }
    }

    @Test
    void anotherHostOrOriginGetsNothing() throws Exception {
        try (LivePage page = page("127.0.0.1:0")) {
            int port = port(page);
            for (String host : List.of(
                    "rebound.example:" + port,
                    "127.0.0.1.rebound.example:" + port,
                    "127.0.0.1",
                    "127.0.0.1:1",
                    "192.0.2.7:" + port,
                    "localhost.:" + port,
                    "")) {
                assertEquals("403", status(get(port, "/events", "Host: " + host)), host);
            }
            for (String origin :
                    List.of("http://rebound.example", "null", "http://127.0.0.1:1", "https://127.0.0.1:" + port)) {
                assertEquals("403", status(get(port, "/metrics", "Origin: " + origin)), origin);
            }
            assertEquals("200", status(get(port, "/metrics", "Origin: http://127.0.0.1:" + port)));
            assertEquals("200", status(get(port, "/metrics", "Host: localhost:" + port)));
            assertEquals("200", status(get(port, "/metrics", "Host: [::1]:" + port)));
        }
    }

    /** Whatever else a request can be made of: nothing but the page comes back, and the page goes on. */
    @Test
    void malformedRequestsGetNothing() throws Exception {
        try (LivePage page = page("127.0.0.1:0")) {
            int port = port(page);
            String host = "Host: 127.0.0.1:" + port + "\r\n";
            for (String request : List.of(
                    "GET http://rebound.example/metrics HTTP/1.1\r\nHost: rebound.example\r\nConnection: close\r\n\r\n",
                    "GET /metrics HTTP/1.1\r\n" + host + "Host: rebound.example\r\nConnection: close\r\n\r\n",
                    "GET /metrics HTTP/1.1\r\nConnection: close\r\n\r\n",
                    "GET /" + "x".repeat(100_000) + " HTTP/1.1\r\n" + host + "Connection: close\r\n\r\n",
                    "GET /\\..\\..\\etc\\passwd HTTP/1.1\r\n" + host + "Connection: close\r\n\r\n",
                    "GET ../../etc/passwd HTTP/1.1\r\n" + host + "Connection: close\r\n\r\n",
                    "POST /metrics HTTP/1.1\r\n" + host + "Content-Length: 5\r\nConnection: close\r\n\r\nhello",
                    "no request at all\r\n\r\n")) {
                String answer = raw(port, request);
                assertFalse(
                        status(answer).startsWith("2") || answer.contains("root:"),
                        request.substring(0, Math.min(80, request.length())) + " got " + answer);
            }
            assertEquals("200", status(get(port, "/metrics")), "it goes on for others");
        }
    }

    @Test
    void hugeHeadersAreRefused() throws Exception {
        try (LivePage page = page("127.0.0.1:0")) {
            int port = port(page);
            String answer = get(port, "/", "X-Huge: " + "x".repeat(200_000));
            assertFalse(status(answer).equals("200"), "a huge header");
            List<String> many = new ArrayList<>();
            for (int i = 0; i < 500; i++) {
                many.add("X-" + i + ": x");
            }
            assertFalse(status(get(port, "/", many.toArray(String[]::new))).equals("200"), "500 headers");
            assertEquals("200", status(get(port, "/")), "it goes on for others");
        }
    }

    @Test
    void anAddressForOthersNeedsTheToken() throws Exception {
        try (LivePage page = page("0.0.0.0:0")) {
            String url = page.urls().isEmpty() ? "" : page.urls().get(0);
            org.plateaubench.Wants.that(!url.isEmpty(), "a network address besides loopback");
            String token = url.substring(url.indexOf("?token=") + 7);
            assertEquals(32, token.length(), url);
            int port = port(page);
            for (String path :
                    List.of("/", "/events", "/metrics", "/page.js", "/?token=", "/?token=" + "0".repeat(32))) {
                assertEquals("403", status(get(port, path)), path);
            }
            String first = get(port, "/?token=" + token);
            assertEquals("303", status(first));
            assertTrue(
                    first.contains("Set-cookie: plateau-token=" + token + "; Path=/; HttpOnly; SameSite=Strict"),
                    first);
            assertEquals("200", status(get(port, "/", "Cookie: a=b; plateau-token=" + token)));
            assertEquals("200", status(get(port, "/metrics", "Authorization: Bearer " + token)));
            assertEquals(
                    "403", status(get(port, "/", "Host: rebound.example:" + port, "Cookie: plateau-token=" + token)));
        }
    }

    @Test
    void answersAllowNothingFromElsewhere() throws Exception {
        try (LivePage page = page("127.0.0.1:0")) {
            String answer = get(port(page), "/");
            assertTrue(answer.contains("default-src 'none'; script-src 'self'; style-src 'self'"), answer);
            assertTrue(answer.contains("frame-ancestors 'none'"), answer);
            assertFalse(answer.contains("unsafe"), answer);
            assertTrue(answer.contains("X-content-type-options: nosniff"), answer);
            assertFalse(answer.contains("Access-control-allow"), answer);
        }
    }

    @ParameterizedTest
    @ValueSource(
            strings = {"8080", "127.0.0.1", "bench.example:80", "127.0.0.1:99999", "localhost:", "127.0.0.1:-1", ":80"})
    void anAddressIsAnIpAddressAndAPort(String text) {
        assertThrows(IllegalArgumentException.class, () -> WatchAddress.of(text));
    }

    @Test
    void metricsAreOpenMetrics() throws Exception {
        try (LivePage page = page("127.0.0.1:0")) {
            page.tick(1, 60, () -> progress("soak", 31.5));
            String answer = await(page, "plateau_coolant_celsius 31.50\n");
            assertTrue(answer.contains("application/openmetrics-text; version=1.0.0; charset=utf-8"), answer);
            String text = answer.substring(answer.indexOf("\r\n\r\n") + 4);
            assertTrue(text.endsWith("# EOF\n"));
            // Every sample comes after its type and help, each metric once (OpenMetrics 1.0).
            assertTrue(
                    text.matches(
                            "(# TYPE (plateau_[a-z_]+) gauge\n# HELP \\2 [^\n]+\n\\2 -?[0-9]+(\\.[0-9]+)?\n)+# EOF\n"),
                    text);
        }
    }

    private static String await(LivePage page, String wanted) throws IOException {
        Deadline patience = Deadline.afterMillis(PATIENCE_MILLIS);
        String answer = "";
        while (!answer.contains(wanted)) {
            assertFalse(patience.passed(), answer);
            answer = get(port(page), "/metrics");
        }
        return answer;
    }

    /** A browser that follows by a socket of its own, and may stop to read. */
    private static final class Follower implements AutoCloseable {
        private final Socket socket;
        private final StringBuilder got = new StringBuilder();
        private final Thread thread;
        private volatile boolean ended;

        Follower(int port, boolean reads) throws IOException {
            socket = new Socket();
            socket.setReceiveBufferSize(4096);
            socket.connect(new java.net.InetSocketAddress(InetAddress.getLoopbackAddress(), port));
            socket.getOutputStream()
                    .write(("GET /events HTTP/1.1\r\nHost: 127.0.0.1:" + port + "\r\n\r\n")
                            .getBytes(StandardCharsets.US_ASCII));
            thread = new Thread(this::read);
            thread.setDaemon(true);
            if (reads) {
                thread.start();
            }
        }

        private void read() {
            byte[] buffer = new byte[8192];
            try (InputStream in = socket.getInputStream()) {
                for (int n = in.read(buffer); n >= 0; n = in.read(buffer)) {
                    synchronized (got) {
                        got.append(new String(buffer, 0, n, StandardCharsets.UTF_8));
                    }
                }
            } catch (IOException e) {
                // let go
            }
            ended = true;
        }

        String got() {
            synchronized (got) {
                return got.toString();
            }
        }

        @Override
        public void close() throws IOException {
            socket.close();
        }
    }

    private static void await(String what, java.util.function.BooleanSupplier condition) {
        Deadline patience = Deadline.afterMillis(PATIENCE_MILLIS);
        while (!condition.getAsBoolean()) {
            assertFalse(patience.passed(), "not within " + PATIENCE_MILLIS + " ms: " + what);
            Deadline.afterMillis(10).await();
        }
    }

    /**
     * Twenty follow, five of them have stopped to read. The thread that ticks neither blocks nor waits, those that read get
     * everything to the end, and those that do not are let go: nothing piles up for them.
     */
    @Test
    void stalledClientsHoldUpNobodyAndAreLetGo() throws Exception {
        List<Follower> reading = new ArrayList<>();
        List<Follower> stalled = new ArrayList<>();
        try (LivePage page = page("127.0.0.1:0")) {
            for (int i = 0; i < 20; i++) {
                (i < 15 ? reading : stalled).add(new Follower(port(page), i < 15));
            }
            await("20 follow", () -> page.following() == 20);
            await("15 have begun", () -> reading.stream().allMatch(f -> f.got().contains("event: beginning")));
            String padding = "x".repeat(2000);
            int ticks = 0;
            AtomicInteger asked = new AtomicInteger();
            // The stalled ones are let go once their sockets' buffers and their queues are full.
            Deadline patience = Deadline.afterMillis(60_000);
            while (page.following() > 15) {
                assertFalse(patience.passed(), page.following() + " still follow after " + ticks + " ticks");
                int n = ++ticks;
                ThreadInfo before = me();
                page.journalled(n, Map.of("decision", "pass-spoiled", "pass", "1.1/1", "reason", padding));
                page.tick(n, n, () -> {
                    asked.incrementAndGet();
                    return progress("soak", 30 + n % 10);
                });
                ThreadInfo after = me();
                assertEquals(before.getBlockedCount(), after.getBlockedCount(), "the ticking thread was blocked");
                assertEquals(before.getWaitedCount(), after.getWaitedCount(), "the ticking thread waited");
                spin(200_000);
            }
            assertTrue(asked.get() <= ticks, "asked more often than it ticked");
            page.journalled(
                    ticks, Map.of("decision", "end", "exit", 0L, "how", "complete", "reason", "all passes done"));
            page.tick(ticks, ticks + 1, () -> progress("ended", 30));
            await(
                    "all that read see the end",
                    () -> reading.stream().allMatch(f -> f.got().contains("\"stage\":\"ended\"")));
            assertEquals(15, page.following());
        }
        await("streams end with the page", () -> reading.stream().allMatch(f -> f.ended));
        for (Follower each : reading) {
            assertFalse(each.got().contains("\n\n\n"), "a torn event");
            each.close();
        }
        for (Follower each : stalled) {
            each.close();
        }
    }

    /** Lets about so many nanoseconds pass without waiting. */
    private static void spin(long nanos) {
        Deadline end = Deadline.afterMillis(nanos / 1_000_000 + 1);
        while (!end.passed()) {
            Thread.onSpinWait();
        }
    }

    private static ThreadInfo me() {
        return ManagementFactory.getThreadMXBean()
                .getThreadInfo(Thread.currentThread().getId());
    }

    @Test
    void aLongNightIsKeptInAFewPoints() {
        History history = new History();
        int most = 0;
        for (int i = 0; i < 600_000; i++) {
            history.take(i, Map.of("at", (long) i));
            most = Math.max(most, history.size());
        }
        assertTrue(most <= 1200, most + " points");
        List<?> at = (List<?>) history.columns(List.of("at")).get("at");
        assertTrue(at.size() > 400, at.size() + " points");
        assertTrue(
                (long) at.get(0) < 2 && (long) at.get(at.size() - 1) > 598_000,
                at.get(0) + " to " + at.get(at.size() - 1));
    }

    @Test
    void troublesComeAndGo() {
        Troubles troubles = new Troubles();
        troubles.take(Map.of("input", "device", "device", "controller", "event", "gone", "detail", "no answer"));
        troubles.take(Map.of("decision", "pass-spoiled", "pass", "1.1/1", "reason", "it is repeated by itself"));
        assertEquals(List.of("device controller: gone no answer"), troubles.texts());
        troubles.take(Map.of("input", "device", "device", "controller", "event", "back", "detail", ""));
        assertEquals(List.of(), troubles.texts());
        troubles.take(Map.of("decision", "end", "exit", 0L, "how", "complete", "reason", "all passes done"));
        assertEquals(List.of(), troubles.texts());
        troubles.take(Map.of("decision", "end", "exit", 4L, "how", "bench fault", "reason", "frozen sensor"));
        assertEquals(List.of("the night has ended: bench fault: frozen sensor"), troubles.texts());
    }

    @Test
    void aBrowserFollowsToTheEndAcrossARestartOfTheServer() throws Exception {
        try (Browser browser = Browser.start()) {
            int port;
            try (LivePage page = page("127.0.0.1:0")) {
                port = port(page);
                browser.size(390, 844);
                browser.open("http://127.0.0.1:" + port + "/");
                await("the browser follows", () -> page.following() == 1);
                for (int i = 1; i <= 40; i++) {
                    int n = i;
                    page.tick(n, n * 10.0, () -> progress("soak", 25 + n / 10.0));
                    Deadline.afterMillis(12).await();
                }
                browser.await("document.getElementById('coolant').textContent === '29.00 °C'", 20);
                assertEquals("All well", text(browser, "state-word"));
                assertEquals("21.0 K below its limit of 50 °C", text(browser, "distance"));
                assertEquals("1 of 6 done", text(browser, "passes"));
                assertEquals("00:16", text(browser, "ends"));
                assertEquals("slope 1.20 ± 0.10 K/h, limit 1 K/h", text(browser, "waits"));
                // The whole first screen: what matters stands above the fold of a phone.
                assertEquals(
                        Boolean.TRUE,
                        browser.value("document.getElementById('ends').getBoundingClientRect().bottom < 844"));
                assertTrue(((Number) browser.value("data.coolant.length")).intValue() > 5, "charts without data");
                assertEquals(
                        Boolean.TRUE,
                        browser.value("[...document.querySelectorAll('canvas')].every(c => c.getContext('2d')"
                                + ".getImageData(0, 0, c.width, c.height).data.some(v => v > 0))"),
                        "an empty chart");
                for (boolean dark : new boolean[] {false, true}) {
                    browser.dark(dark);
                    assertEquals(List.of(), browser.accessibility(), dark ? "dark" : "light");
                }
                page.journalled(
                        410, Map.of("input", "device", "device", "controller", "event", "gone", "detail", "no answer"));
                page.tick(41, 410, () -> progress("hold", 30));
                browser.await("document.getElementById('state-word').textContent === 'Needs you'", 20);
                browser.await("document.getElementById('troubles').textContent.includes('controller: gone')", 20);
                assertEquals(List.of(), browser.errors());
            }
            browser.await("document.getElementById('state-word').textContent === 'No news'", 20);
            try (LivePage page = page("127.0.0.1:" + port)) {
                page.tick(1, 500, () -> progress("dwell", 33));
                browser.await("document.getElementById('coolant').textContent === '33.00 °C'", 30);
                assertEquals("All well", text(browser, "state-word"));
                page.journalled(
                        510, Map.of("decision", "end", "exit", 0L, "how", "complete", "reason", "all passes done"));
                page.tick(2, 510, () -> progress("ended", 33));
                browser.await("document.getElementById('state-word').textContent === 'Done, all well'", 20);
            }
            browser.await("document.getElementById('connection').textContent.includes('has ended')", 20);
            assertEquals(
                    List.of(),
                    browser.errors().stream().filter(e -> !e.contains("ERR_")).toList());
        }
    }

    private static String text(Browser browser, String id) throws Exception {
        return String.valueOf(browser.value("document.getElementById('" + id + "').textContent"));
    }
}
