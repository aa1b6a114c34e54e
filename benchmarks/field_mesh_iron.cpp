// SPDX-License-Identifier: GPL-3.0-or-later
// The curve of benchmarks/field_mesh.c for FreeFEM, compiled so that its interpreter does not slow it: reads iron.txt in
// the working folder. ironnu(b2): H/B at the square of B; ironmore(b2): (dH/dB - H/B)/B^2.
#include "ff++.hpp"

#include <cmath>
#include <fstream>
#include <vector>

namespace {
const double mu0 = 4e-7 * 3.14159265358979323846;
double saturation, tail;
std::vector<double> b, h, s;

void field(double density, double &value, double &slope)
{
    if (density >= b.back()) {
        double excess = density - saturation;

        value = (excess + std::sqrt(excess * excess + 4 * mu0 * tail)) / (2 * mu0);
        slope = 1 / (mu0 + tail / (value * value));
        return;
    }
    size_t i = 0;
    while (density >= b[i + 1])
        i++;
    double width = b[i + 1] - b[i], t = density - b[i], secant = (h[i + 1] - h[i]) / width;
    double c = (3 * secant - 2 * s[i] - s[i + 1]) / width, d = (s[i] + s[i + 1] - 2 * secant) / (width * width);
    value = h[i] + t * (s[i] + t * (c + t * d));
    slope = s[i] + t * (2 * c + 3 * t * d);
}
}

double ironnu(const double &square)
{
    double value, slope;

    if (square <= 0)
        return s[0];
    field(std::sqrt(square), value, slope);
    return value / std::sqrt(square);
}

double ironmore(const double &square)
{
    double value, slope;

    if (square <= 0)
        return 0;
    field(std::sqrt(square), value, slope);
    return (slope - value / std::sqrt(square)) / square;
}

static void Load_Init()
{
    std::ifstream file("iron.txt");
    double x, y, z;
    int count;

    file >> saturation >> tail >> count;
    while (file >> x >> y >> z) {
        b.push_back(x);
        h.push_back(y);
        s.push_back(z);
    }
    Global.Add("ironnu", "(", new OneOperator1_<double, double>(ironnu));
    Global.Add("ironmore", "(", new OneOperator1_<double, double>(ironmore));
}
LOADFUNC(Load_Init)
