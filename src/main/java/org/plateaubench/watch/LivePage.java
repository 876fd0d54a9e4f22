package org.plateaubench.watch;

import com.sun.net.httpserver.Headers;
import com.sun.net.httpserver.HttpExchange;
import com.sun.net.httpserver.HttpServer;
import java.io.IOException;
import java.io.InputStream;
import java.net.Inet4Address;
import java.net.InetAddress;
import java.net.InetSocketAddress;
import java.net.NetworkInterface;
import java.nio.charset.StandardCharsets;
import java.time.OffsetDateTime;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.SynchronousQueue;
import java.util.concurrent.ThreadPoolExecutor;
import java.util.concurrent.TimeUnit;
import java.util.function.Supplier;
import org.plateaubench.clock.Deadline;
import org.plateaubench.engine.Progress;
import org.plateaubench.night.NightListener;

/**
 * A running night as a page for browsers: whether all is well, where it stands, charts, journal; and as metrics. It can
 * only be looked at. The night's thread leaves its news here without waiting for anybody; a thread of its own hands them
 * on, and each browser has a bounded queue and a thread.
 */
public final class LivePage implements NightListener, AutoCloseable {

    private static final int MOST_CLIENTS = 40;
    private static final int THREADS = MOST_CLIENTS + 8;
    private static final long NEWS_MILLIS = 50;
    private static final long GOODBYE_MILLIS = 1000;

    private static final String CSP = "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self';"
            + " img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

    /**
     * What does not change over a night.
     *
     * @param title title of the plan
     * @param set name of the fan set
     * @param bench name of the bench
     * @param start local time at offset zero
     * @param coolantLimitCelsius lowest upper limit of the coolant, °C, if there is one
     */
    public record About(
            String title, String set, String bench, OffsetDateTime start, OptionalDouble coolantLimitCelsius) {}

    /** A file of the page. */
    private record Asset(String type, byte[] bytes) {}

    private final HttpServer server;
    private final ExecutorService threads;
    private final Gate gate;
    private final InetAddress address;
    private final Map<String, Asset> assets = new LinkedHashMap<>();
    private final Bulletin bulletin;
    private final List<Client> clients = new ArrayList<>();
    private final long newsMillis;
    private volatile boolean open = true;

    private LivePage(WatchAddress where, About about, long newsMillis) throws IOException {
        // Read once when the JDK's server is first used: a browser's headers are far below these.
        System.setProperty("sun.net.httpserver.maxReqHeaders", "64");
        System.setProperty("sun.net.httpserver.maxReqHeaderSize", "16384");
        System.setProperty("sun.net.httpserver.maxReqTime", "10");
        this.newsMillis = newsMillis;
        this.bulletin = new Bulletin(about);
        this.address = where.address();
        this.server = HttpServer.create(new InetSocketAddress(address, where.port()), 0);
        this.gate = new Gate(address, server.getAddress().getPort());
        this.threads = new ThreadPoolExecutor(0, THREADS, 10, TimeUnit.SECONDS, new SynchronousQueue<>(), work -> {
            Thread thread = new Thread(work, "plateau-page");
            thread.setDaemon(true);
            return thread;
        });
        assets.put("/", new Asset("text/html; charset=utf-8", resource("/live/page.html")));
        assets.put(
                "/page.css",
                new Asset(
                        "text/css; charset=utf-8", joined(resource("/look/colours.css"), resource("/live/page.css"))));
        assets.put("/page.js", new Asset("text/javascript; charset=utf-8", resource("/live/page.js")));
        String charts = "/META-INF/resources/webjars/uplot/1.6.30/dist/";
        assets.put("/charts.js", new Asset("text/javascript; charset=utf-8", resource(charts + "uPlot.iife.min.js")));
        assets.put("/charts.css", new Asset("text/css; charset=utf-8", resource(charts + "uPlot.min.css")));
        server.createContext("/", this::handle);
        server.setExecutor(threads);
        server.start();
        Thread news = new Thread(this::handOn, "plateau-news");
        news.setDaemon(true);
        news.start();
    }

    /**
     * Starts to listen.
     *
     * @param where address and port
     * @param about what does not change
     * @return the page
     * @throws IOException if the address or port cannot be had
     */
    public static LivePage open(WatchAddress where, About about) throws IOException {
        return open(where, about, NEWS_MILLIS);
    }

    static LivePage open(WatchAddress where, About about, long newsMillis) throws IOException {
        return new LivePage(where, about, newsMillis);
    }

    private static byte[] resource(String path) throws IOException {
        try (InputStream in = LivePage.class.getResourceAsStream(path)) {
            return in.readAllBytes();
        }
    }

    private static byte[] joined(byte[] one, byte[] other) {
        byte[] both = Arrays.copyOf(one, one.length + other.length);
        System.arraycopy(other, 0, both, one.length, other.length);
        return both;
    }

    /**
     * Where it can be looked at, with the token where one is needed.
     *
     * @return one or more addresses for a browser
     * @throws IOException if this computer's addresses cannot be found
     */
    public List<String> urls() throws IOException {
        List<String> hosts = new ArrayList<>();
        if (address.isAnyLocalAddress()) {
            for (NetworkInterface each : Collections.list(NetworkInterface.getNetworkInterfaces())) {
                for (InetAddress own : Collections.list(each.getInetAddresses())) {
                    if (own instanceof Inet4Address && each.isUp() && !own.isLoopbackAddress()) {
                        hosts.add(own.getHostAddress());
                    }
                }
            }
        } else {
            String host = address.getHostAddress();
            hosts.add(host.indexOf(':') < 0 ? host : "[" + host + "]");
        }
        String end = ":" + server.getAddress().getPort() + "/"
                + gate.token().map(token -> "?token=" + token).orElse("");
        return hosts.stream().map(host -> "http://" + host + end).toList();
    }

    @Override
    public void tick(long tick, double seconds, Supplier<Progress> progress) {
        bulletin.tick(seconds, progress);
    }

    @Override
    public void journalled(double seconds, Map<String, Object> fields) {
        bulletin.journalled(seconds, fields);
    }

    /** Hands news on until the page is closed. */
    private void handOn() {
        while (open) {
            Deadline.afterMillis(newsMillis).await();
            synchronized (clients) {
                for (byte[] event : bulletin.news()) {
                    clients.removeIf(client -> !client.offer(event));
                }
            }
        }
    }

    /**
     * The bench is known.
     *
     * @param ofSimulation true if everything must say that it is simulated
     */
    public void simulated(boolean ofSimulation) {
        bulletin.simulated(ofSimulation);
    }

    private void handle(HttpExchange exchange) throws IOException {
        Headers headers = exchange.getResponseHeaders();
        headers.set("Content-Security-Policy", CSP);
        headers.set("X-Content-Type-Options", "nosniff");
        headers.set("Referrer-Policy", "no-referrer");
        headers.set("Cross-Origin-Resource-Policy", "same-origin");
        headers.set("Cache-Control", "no-store");
        String query = exchange.getRequestURI().getRawQuery();
        Optional<String> refusal = gate.refusal(exchange.getRequestHeaders(), query);
        String path = exchange.getRequestURI().getRawPath();
        if (refusal.isPresent()) {
            refuse(exchange, 403, refusal.get());
        } else if (!exchange.getRequestMethod().equals("GET")) {
            headers.set("Allow", "GET");
            refuse(exchange, 405, "this page can only be looked at");
        } else if (path.equals("/") && query != null && gate.token().isPresent()) {
            headers.set("Set-Cookie", gate.cookie());
            headers.set("Location", "/");
            exchange.sendResponseHeaders(303, -1);
            exchange.close();
        } else if (path.equals("/events")) {
            follow(exchange);
        } else if (path.equals("/metrics")) {
            String type = "application/openmetrics-text; version=1.0.0; charset=utf-8";
            send(exchange, new Asset(type, bulletin.metrics().getBytes(StandardCharsets.UTF_8)));
        } else if (assets.containsKey(path)) {
            send(exchange, assets.get(path));
        } else {
            refuse(exchange, 404, "there is nothing here by that name");
        }
    }

    private static void send(HttpExchange exchange, Asset asset) throws IOException {
        try (exchange) {
            exchange.getResponseHeaders().set("Content-Type", asset.type());
            exchange.sendResponseHeaders(200, asset.bytes().length);
            exchange.getResponseBody().write(asset.bytes());
        }
    }

    private static void refuse(HttpExchange exchange, int status, String why) throws IOException {
        try (exchange) {
            byte[] text = (why + "\n").getBytes(StandardCharsets.UTF_8);
            exchange.getResponseHeaders().set("Content-Type", "text/plain; charset=utf-8");
            exchange.getResponseHeaders().set("Connection", "close");
            boolean bodiless = exchange.getRequestMethod().equals("HEAD");
            exchange.sendResponseHeaders(status, bodiless ? -1 : text.length);
            if (!bodiless) {
                exchange.getResponseBody().write(text);
            }
        }
    }

    private void follow(HttpExchange exchange) throws IOException {
        Client client = new Client(exchange);
        boolean room;
        synchronized (clients) {
            room = open && clients.size() < MOST_CLIENTS;
            if (room) {
                client.offer(bulletin.beginning());
                clients.add(client);
            }
        }
        if (!room) {
            refuse(exchange, 503, "too many look already");
            return;
        }
        exchange.getResponseHeaders().set("Content-Type", "text/event-stream; charset=utf-8");
        exchange.sendResponseHeaders(200, 0);
        client.serve();
    }

    /** How many browsers follow. */
    int following() {
        synchronized (clients) {
            return clients.size();
        }
    }

    /**
     * Tells whoever looks what came of the record.
     *
     * @param text one line
     */
    public void say(String text) {
        bulletin.say(text);
    }

    /** Sends the last news, then stops to listen. */
    @Override
    public void close() {
        Deadline goodbye = Deadline.afterMillis(GOODBYE_MILLIS);
        Deadline.afterMillis(3 * newsMillis).await();
        synchronized (clients) {
            open = false;
            clients.forEach(Client::finish);
        }
        while (threadsBusy() && !goodbye.passed()) {
            Deadline.afterMillis(10).await();
        }
        synchronized (clients) {
            clients.forEach(Client::leave);
        }
        server.stop(0);
        threads.shutdownNow();
    }

    private boolean threadsBusy() {
        return ((ThreadPoolExecutor) threads).getActiveCount() > 0;
    }
}
