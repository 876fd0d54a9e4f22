package org.plateaubench.hostile;

import java.io.IOException;
import java.io.InputStream;
import java.lang.reflect.Method;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;

/** The whole program with one rule switched off: one class compiled anew in memory, all others loaded beside it. */
final class MutantProgram extends ClassLoader {

    private static final String OURS = "org.plateaubench.";

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
        mutated = new TreeMap<>();
        for (Optional<Mutant> off = Optional.of(mutant);
                off.isPresent();
                off = off.get().cover()) {
            Mutant rule = off.get();
            mutated.putAll(MutatedSource.compiled(rule.rule(), rule.file(), rule.before(), rule.after()));
        }
    }

    /** Lives through a night: "INVARIANT ticket" of the first that is broken, or an empty text. */
    String caught(String ticket) throws ReflectiveOperationException {
        Method caught = loadClass(MutantProgram.class.getName()).getDeclaredMethod("firstBreach", String.class);
        caught.setAccessible(true);
        return (String) caught.invoke(null, ticket);
    }

    /** Called in the mutated program. */
    static String firstBreach(String ticket) {
        return Campaign.live(Ticket.parse(ticket)).breaches().stream()
                .findFirst()
                .map(b -> b.invariant() + " " + ticket)
                .orElse("");
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
}
