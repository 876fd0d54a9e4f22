package org.plateaubench;

import static org.junit.jupiter.api.Assertions.fail;

import com.fasterxml.jackson.jr.ob.JSON;
import java.io.IOException;
import java.net.URI;
import java.net.http.HttpClient;
import java.net.http.WebSocket;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Base64;
import java.util.Comparator;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.CompletionStage;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.stream.Stream;
import org.plateaubench.clock.Deadline;

/** A headless Chromium with one page, driven over its DevTools protocol: what a person would see, and every complaint. */
public final class Browser implements AutoCloseable {

    private static final int ANSWER_SECONDS = 30;
    private static final List<String> NAMES = List.of("chromium", "chromium-browser", "google-chrome");

    private final Process process;
    private final Path profile;
    private final WebSocket socket;
    private final String session;
    private final AtomicInteger lastId = new AtomicInteger();
    private final Map<Integer, CompletableFuture<Map<String, Object>>> asked = new ConcurrentHashMap<>();
    private final List<String> errors = new CopyOnWriteArrayList<>();
    private String scheme = "light";

    private Browser(Process process, Path profile, String address) throws Exception {
        this.process = process;
        this.profile = profile;
        this.socket = HttpClient.newHttpClient()
                .newWebSocketBuilder()
                .buildAsync(URI.create(address), new Listener())
                .get(ANSWER_SECONDS, TimeUnit.SECONDS);
        Object target =
                ask("", "Target.createTarget", Map.of("url", "about:blank")).get("targetId");
        session = ask("", "Target.attachToTarget", Map.of("targetId", target, "flatten", true))
                .get("sessionId")
                .toString();
        for (String domain : List.of("Page", "Runtime", "Log")) {
            ask(domain + ".enable", Map.of());
        }
    }

    /** Starts one, or skips the test where there is none. */
    public static Browser start() throws Exception {
        String program = NAMES.stream().filter(Browser::isThere).findFirst().orElse("");
        Wants.that(!program.isEmpty(), "a browser: one of " + NAMES + " on the path");
        Path profile = Files.createTempDirectory("plateau-browser");
        Process process = new ProcessBuilder(
                        program,
                        "--headless",
                        "--no-sandbox",
                        "--disable-gpu",
                        "--disable-quic",
                        "--no-first-run",
                        "--disable-background-networking",
                        "--disable-component-update",
                        "--disable-sync",
                        "--disable-dev-shm-usage",
                        "--remote-debugging-port=0",
                        "--user-data-dir=" + profile,
                        "about:blank")
                .redirectOutput(ProcessBuilder.Redirect.DISCARD)
                .redirectError(ProcessBuilder.Redirect.DISCARD)
                .start();
        Path port = profile.resolve("DevToolsActivePort");
        Deadline patience = Deadline.afterMillis(ANSWER_SECONDS * 1000L);
        while (!Files.exists(port) || Files.readAllLines(port).size() < 2) {
            if (patience.passed() || !process.isAlive()) {
                process.destroyForcibly();
                fail(program + " did not start");
            }
            Deadline.afterMillis(20).await();
        }
        List<String> lines = Files.readAllLines(port);
        return new Browser(process, profile, "ws://127.0.0.1:" + lines.get(0) + lines.get(1));
    }

    private static boolean isThere(String program) {
        return Stream.of(System.getenv().getOrDefault("PATH", "").split(java.io.File.pathSeparator))
                .anyMatch(folder -> Files.isExecutable(Path.of(folder, program)));
    }

    private final class Listener implements WebSocket.Listener {
        private final StringBuilder text = new StringBuilder();

        @Override
        public CompletionStage<?> onText(WebSocket from, CharSequence part, boolean last) {
            text.append(part);
            if (last) {
                take(text.toString());
                text.setLength(0);
            }
            from.request(1);
            return null;
        }
    }

    private void take(String message) {
        Map<String, Object> fields;
        try {
            fields = JSON.std.mapFrom(message);
        } catch (IOException e) {
            throw new java.io.UncheckedIOException(e);
        }
        if (fields.get("id") instanceof Integer id) {
            asked.remove(id).complete(fields);
            return;
        }
        Map<?, ?> params = fields.get("params") instanceof Map<?, ?> map ? map : Map.of();
        switch (String.valueOf(fields.get("method"))) {
            case "Runtime.exceptionThrown" -> errors.add("exception: " + params.get("exceptionDetails"));
            case "Runtime.consoleAPICalled" -> {
                if ("error".equals(params.get("type"))) {
                    errors.add("console: " + params.get("args"));
                }
            }
            case "Log.entryAdded" -> {
                Map<?, ?> entry = (Map<?, ?>) params.get("entry");
                if ("error".equals(entry.get("level"))) {
                    errors.add("log: " + entry.get("text") + " " + entry.get("url"));
                }
            }
            default -> {
                // other news of the browser
            }
        }
    }

    private Map<String, Object> ask(String method, Map<String, Object> params) throws Exception {
        return ask(session, method, params);
    }

    private Map<String, Object> ask(String inSession, String method, Map<String, Object> params) throws Exception {
        int id = lastId.incrementAndGet();
        CompletableFuture<Map<String, Object>> answer = new CompletableFuture<>();
        asked.put(id, answer);
        Map<String, Object> message = new LinkedHashMap<>();
        message.put("id", id);
        message.put("method", method);
        message.put("params", params);
        if (!inSession.isEmpty()) {
            message.put("sessionId", inSession);
        }
        socket.sendText(JSON.std.asString(message), true).get(ANSWER_SECONDS, TimeUnit.SECONDS);
        Map<String, Object> fields = answer.get(ANSWER_SECONDS, TimeUnit.SECONDS);
        if (fields.containsKey("error")) {
            fail(method + ": " + fields.get("error"));
        }
        Map<String, Object> result = new LinkedHashMap<>();
        ((Map<?, ?>) fields.get("result")).forEach((name, value) -> result.put(name.toString(), value));
        return result;
    }

    /** Opens a page and waits until it is complete. */
    public void open(String url) throws Exception {
        ask("Page.navigate", Map.of("url", url));
        await("document.readyState === 'complete' && location.href !== 'about:blank'", ANSWER_SECONDS);
    }

    /** Takes the light or the dark colours. */
    public void dark(boolean dark) throws Exception {
        scheme = dark ? "dark" : "light";
        paper(false);
    }

    /** Shows the page as it would be printed, or as on a screen. */
    public void paper(boolean paper) throws Exception {
        ask(
                "Emulation.setEmulatedMedia",
                Map.of(
                        "media",
                        paper ? "print" : "",
                        "features",
                        List.of(Map.of("name", "prefers-color-scheme", "value", scheme))));
    }

    /** Takes a width and height, CSS pixels. */
    public void size(int width, int height) throws Exception {
        ask(
                "Emulation.setDeviceMetricsOverride",
                Map.of("width", width, "height", height, "deviceScaleFactor", 1, "mobile", false));
    }

    /** Value of an expression, which may be a promise; lists and maps for arrays and objects. */
    public Object value(String expression) throws Exception {
        Map<String, Object> answer =
                ask("Runtime.evaluate", Map.of("expression", expression, "returnByValue", true, "awaitPromise", true));
        if (answer.containsKey("exceptionDetails")) {
            fail(expression + ": " + answer.get("exceptionDetails"));
        }
        return ((Map<?, ?>) answer.get("result")).get("value");
    }

    /** Waits until an expression is true. */
    public void await(String expression, int seconds) throws Exception {
        Deadline patience = Deadline.afterMillis(seconds * 1000L);
        while (!Boolean.TRUE.equals(value(expression))) {
            if (patience.passed()) {
                fail("not true within " + seconds + " s: " + expression + "\n" + errors);
            }
            Deadline.afterMillis(50).await();
        }
    }

    /** Saves a picture of the whole page. */
    public void picture(Path png) throws Exception {
        Map<String, Object> answer =
                ask("Page.captureScreenshot", Map.of("format", "png", "captureBeyondViewport", true));
        Files.write(png, Base64.getDecoder().decode(answer.get("data").toString()));
    }

    /** Prints the page on A4; returns the PDF's bytes. */
    public byte[] print() throws Exception {
        Map<String, Object> answer = ask("Page.printToPDF", Map.of("preferCSSPageSize", true, "printBackground", true));
        return Base64.getDecoder().decode(answer.get("data").toString());
    }

    /** What the page complained of since it was opened. */
    public List<String> errors() {
        return List.copyOf(errors);
    }

    /** What axe-core finds that is serious or critical, one line each; skips the test where axe-core is missing. */
    public List<String> accessibility() throws Exception {
        Path axe = Path.of("target", "npm", "node_modules", "axe-core", "axe.min.js");
        Wants.that(Files.exists(axe), "axe-core, which .ci/run installs with npm");
        value(Files.readString(axe) + "; 0");
        Object found = value("axe.run().then(r => r.violations.filter(v => ['serious', 'critical'].includes(v.impact))"
                + ".map(v => v.id + ': ' + v.help + ' ' + v.nodes.slice(0, 3).map(n => n.html + n.failureSummary)))");
        List<String> lines = new ArrayList<>();
        ((List<?>) found).forEach(line -> lines.add(line.toString()));
        return lines;
    }

    @Override
    public void close() throws IOException {
        socket.abort();
        process.descendants().forEach(ProcessHandle::destroyForcibly);
        process.destroyForcibly();
        process.onExit().join();
        Deadline patience = Deadline.afterMillis(5000);
        while (Files.exists(profile) && !patience.passed()) {
            try (Stream<Path> files = Files.walk(profile)) {
                files.sorted(Comparator.reverseOrder())
                        .forEach(file -> file.toFile().delete());
            } catch (IOException | java.io.UncheckedIOException e) {
                // a last helper process of the browser still writes; the next round gets it
            }
        }
    }
}
