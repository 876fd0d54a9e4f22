package org.plateaubench.hostile;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.OutputStream;
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

/** One class of the program, compiled anew with something else in the place of a piece of its source. */
public final class MutatedSource {

    private static final Path SOURCES = Path.of("src", "main", "java", "org", "plateaubench");

    private MutatedSource() {}

    /**
     * {@return how often a piece of text stands in a source file: 0, 1, or 2 for more}
     *
     * @param file the source file, below the package org.plateaubench
     * @param text the piece
     */
    public static int count(String file, String text) throws IOException {
        String source = Files.readString(SOURCES.resolve(file));
        int at = source.indexOf(text);
        return at < 0 ? 0 : source.indexOf(text, at + 1) < 0 ? 1 : 2;
    }

    /**
     * Compiles a class with a rule switched off.
     *
     * @param rule the rule, for messages
     * @param file the source file, below the package org.plateaubench
     * @param before a piece of its text that stands there exactly once
     * @param after what stands there instead
     * @return classes by their names
     * @throws IOException if the source cannot be read
     * @throws IllegalStateException if the source does not hold the rule once, or does not compile without it
     */
    public static Map<String, byte[]> compiled(String rule, String file, String before, String after)
            throws IOException {
        if (count(file, before) != 1) {
            throw new IllegalStateException("the rule \"" + rule + "\" is looked for by the text \"" + before
                    + "\", which must stand in " + file
                    + " exactly once; change the table of mutants with the source");
        }
        String source = Files.readString(SOURCES.resolve(file));
        int at = source.indexOf(before);
        return compile(rule, file, source.substring(0, at) + after + source.substring(at + before.length()));
    }

    private static Map<String, byte[]> compile(String rule, String file, String source) throws IOException {
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
                            List.of(new Source(file, source)))
                    .call();
            if (!done) {
                throw new IllegalStateException(
                        "without \"" + rule + "\" the source does not compile: " + diagnostics.getDiagnostics());
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
