"""A driver's log, driven along a made-up line at a made-up speed: closed forms, no lap of our own."""

import numpy as np

GRAVITY = 9.80665  # m/s², exact: CGPM 1901


class Driven:
    """Laps of an oval, 400 m straights and half circles of 60 m, clockwise; the speed is a sine along the line."""

    def __init__(self, laps=4, rate=20.0, noise=0.0, seed=1):
        self.length = 800.0 + 2.0 * np.pi * 60.0
        where, time = [0.0], [0.0]
        while where[-1] < laps * self.length:
            where.append(where[-1] + self.speed_at(where[-1]) / rate)
            time.append(time[-1] + 1.0 / rate)
        self.where, self.time = np.array(where[:-1]), np.array(time[:-1])
        self.lap = 1 + (self.where // self.length).astype(int)
        self.along = self.where % self.length
        self.speed = self.speed_at(self.where)
        rng = np.random.default_rng(seed)
        turning = (self.along % (self.length / 2.0)) > 400.0
        self.curvature = np.where(turning, -1.0 / 60.0, 0.0)
        self.yaw = self.speed * self.curvature + noise * rng.normal(size=self.time.size) / 30.0
        self.across = self.speed**2 * self.curvature + noise * rng.normal(size=self.time.size)

    def speed_at(self, where):
        return 28.0 + 6.0 * np.sin(4.0 * np.pi * np.asarray(where) / self.length)

    def columns(self):
        """Name the columns of the least log: clock in seconds, lap, km/h, g."""
        return {
            "Time [s]": self.texts(self.time, 3),
            "Lap": [str(one) for one in self.lap],
            "Speed [km/h]": self.texts(3.6 * self.speed, 2),
            "Lat Acc [g]": self.texts(self.across / GRAVITY, 4),
        }

    @staticmethod
    def texts(values, digits):
        return [f"{one:.{digits}f}" for one in values]


def written(path, columns, *, mark=",", decimal=".", before="", encoding="utf-8"):
    """Write columns of texts as a table."""
    rows = [list(columns), *zip(*columns.values(), strict=True)]
    cells = [[cell if k == 0 else cell.replace(".", decimal) for cell in row] for k, row in enumerate(rows)]
    path.write_bytes((before + "\n".join(mark.join(row) for row in cells) + "\n").encode(encoding))
    return path
