package org.plateaubench.hostile;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.lang.reflect.Method;
import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.TreeMap;
import javax.tools.DiagnosticCollector;
import javax.tools.FileObject;
import javax.tools.ForwardingJavaFileManager;
import javax.tools.JavaCompiler;
import javax.tools.JavaFileManager;
import javax.tools.JavaFileObject;
import javax.tools.SimpleJavaFileObject;
import javax.tools.StandardJavaFileManager;
import javax.tools.ToolProvider;

/** The whole program with one rule switched off: one class compiled anew in memory, all others loaded beside it. */
final class MutantProgram extends ClassLoader {

    private static final String OURS = "org.plateaubench.";
    static final Path SOURCES = Path.of("src", "main", "java", "org", "plateaubench");

    private final Map<String, byte[]> mutated;

    /**
     * The program with a rule switched off.
     *
     * @param mutant what is switched off
     * @throws IOException if the source cannot be read
     * @throws IllegalStateException if the source does not hold the rule once, or does not compile without it
     */
    MutantProgram(Mutant mutant) throws IOException {
        super(MutantProgram.class.getClassLoader());
        String source = Files.readString(SOURCES.resolve(mutant.file()));
        int at = source.indexOf(mutant.before());
        if (at < 0 || source.indexOf(mutant.before(), at + 1) >= 0) {
            throw new IllegalStateException("the rule \"" + mutant.rule() + "\" is looked for by the text \""
                    + mutant.before() + "\", which must stand in " + mutant.file()
                    + " exactly once; change the table of mutants with the source");
        }
        mutated = compile(
                mutant,
                source.substring(0, at)
                        + mutant.after()
                        + source.substring(at + mutant.before().length()));
    }

    /** Lives through nights until one breaks an invariant: "INVARIANT ticket", or an empty text. */
    String caught(List<String> tickets) throws ReflectiveOperationException {
        Method caught = loadClass(MutantProgram.class.getName()).getDeclaredMethod("firstBreach", List.class);
        caught.setAccessible(true);
        return (String) caught.invoke(null, tickets);
    }

    /** Called in the mutated program. */
    static String firstBreach(List<String> tickets) {
        for (String ticket : tickets) {
            List<Breach> breaches = Campaign.live(Ticket.parse(ticket)).breaches();
            if (!breaches.isEmpty()) {
                return breaches.get(0).invariant() + " " + ticket;
            }
        }
        return "";
    }

    @Override
    protected Class<?> loadClass(String name, boolean resolve) throws ClassNotFoundException {
        if (!name.startsWith(OURS)) {
            return super.loadClass(name, resolve);
        }
        synchronized (getClassLoadingLock(name)) {
            Class<?> loaded = findLoadedClass(name);
            return loaded == null ? findClass(name) : loaded;
        }
    }

    @Override
    protected Class<?> findClass(String name) throws ClassNotFoundException {
        byte[] bytes = mutated.containsKey(name) ? mutated.get(name) : compiled(name);
        return defineClass(name, bytes, 0, bytes.length);
    }

    private byte[] compiled(String name) throws ClassNotFoundException {
        try (InputStream in = getParent().getResourceAsStream(name.replace('.', '/') + ".class")) {
            if (in == null) {
                throw new ClassNotFoundException(name);
            }
            return in.readAllBytes();
        } catch (IOException e) {
            throw new ClassNotFoundException(name, e);
        }
    }

    private static Map<String, byte[]> compile(Mutant mutant, String source) throws IOException {
        JavaCompiler compiler = ToolProvider.getSystemJavaCompiler();
        DiagnosticCollector<JavaFileObject> diagnostics = new DiagnosticCollector<>();
        String classPath = System.getProperty("surefire.test.class.path", System.getProperty("java.class.path"));
        try (Output output = new Output(compiler.getStandardFileManager(null, Locale.ROOT, StandardCharsets.UTF_8))) {
            boolean done = compiler.getTask(
                            null,
                            output,
                            diagnostics,
                            List.of("-proc:none", "-nowarn", "-cp", classPath),
                            null,
                            List.of(new Source(mutant.file(), source)))
                    .call();
            if (!done) {
                throw new IllegalStateException("without \"" + mutant.rule() + "\" the source does not compile: "
                        + diagnostics.getDiagnostics());
            }
            Map<String, byte[]> classes = new TreeMap<>();
            for (Compiled each : output.compiled) {
                classes.put(each.name, each.bytes.toByteArray());
            }
            return classes;
        }
    }

    private static final class Source extends SimpleJavaFileObject {
        private final String text;

        Source(String file, String text) {
            super(URI.create("string:///org/plateaubench/" + file), Kind.SOURCE);
            this.text = text;
        }

        @Override
        public CharSequence getCharContent(boolean ignoreEncodingErrors) {
            return text;
        }
    }

    private static final class Compiled extends SimpleJavaFileObject {
        private final String name;
        private final ByteArrayOutputStream bytes = new ByteArrayOutputStream();

        Compiled(String name) {
            super(URI.create("mem:///" + name.replace('.', '/') + ".class"), Kind.CLASS);
            this.name = name;
        }

        @Override
        public OutputStream openOutputStream() {
            return bytes;
        }
    }

    private static final class Output extends ForwardingJavaFileManager<StandardJavaFileManager> {
        private final List<Compiled> compiled = new ArrayList<>();

        Output(StandardJavaFileManager manager) {
            super(manager);
        }

        @Override
        public JavaFileObject getJavaFileForOutput(
                JavaFileManager.Location location, String name, JavaFileObject.Kind kind, FileObject sibling) {
            Compiled output = new Compiled(name);
            compiled.add(output);
            return output;
        }
    }
}
