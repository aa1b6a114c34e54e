# SPDX-License-Identifier: GPL-3.0-or-later
"""The problem of benchmarks/field_mesh.c with dolfinx and MUMPS: field_mesh_dolfinx.py FOLDER.

The same mesh, elements, quadrature points, curve, line search and end of Newton's method. Prints flux linkage, pull, steps
and unknowns. Material values are computed at the quadrature points with numpy; the matrix is symmetric positive
definite, so MUMPS gets it as such."""
import sys

import basix
import numpy as np
import ufl
from dolfinx import fem, mesh
from mpi4py import MPI
from petsc4py import PETSc

folder = sys.argv[1]
MU0, TURNS_PER_M2, CURRENT = 4e-7 * np.pi, 1130 / (0.0102 * 0.0307), 20.0
AIR, STILL, MOVING, COIL = range(4)

numbers = np.fromfile(f"{folder}/mesh.msh", sep=" ")
vertices, triangles = int(numbers[0]), int(numbers[1])
place = numbers[3:3 + 3 * vertices].reshape(-1, 3)[:, :2].copy()
cells = numbers[3 + 3 * vertices:3 + 3 * vertices + 4 * triangles].reshape(-1, 4).astype(np.int64)
domain = mesh.create_mesh(MPI.COMM_SELF, cells[:, :3] - 1, place,
                          ufl.Mesh(ufl.VectorElement("Lagrange", "triangle", 1)))
region = cells[domain.topology.original_cell_index, 3]

saturation, tail = np.fromfile(f"{folder}/iron.txt", sep=" ")[:2]
table = np.fromfile(f"{folder}/iron.txt", sep=" ")[3:].reshape(-1, 3)


def iron(b):
    """H and dH/dB."""
    i = np.clip(np.searchsorted(table[:, 0], b, side="right") - 1, 0, len(table) - 2)
    width, t = table[i + 1, 0] - table[i, 0], b - table[i, 0]
    s0, s1, secant = table[i, 2], table[i + 1, 2], (table[i + 1, 1] - table[i, 1]) / width
    c, d = (3 * secant - 2 * s0 - s1) / width, (s0 + s1 - 2 * secant) / width**2
    h, slope = table[i, 1] + t * (s0 + t * (c + t * d)), s0 + t * (2 * c + 3 * t * d)
    over = b > table[-1, 0]
    if over.any():
        excess = b[over] - saturation
        h[over] = (excess + np.sqrt(excess**2 + 4 * MU0 * tail)) / (2 * MU0)
        slope[over] = 1 / (MU0 + tail / h[over]**2)
    return h, slope


space = fem.FunctionSpace(domain, ("Lagrange", 2))
lines = fem.FunctionSpace(domain, ("Lagrange", 1))
flat = fem.FunctionSpace(domain, ("DG", 0))
points = fem.FunctionSpace(domain, ufl.FiniteElement("Quadrature", "triangle", 2, quad_scheme="default"))
points2 = fem.FunctionSpace(domain, ufl.VectorElement("Quadrature", "triangle", 2, quad_scheme="default"))
rule = {"quadrature_degree": 2, "quadrature_scheme": "default"}
r = ufl.SpatialCoordinate(domain)[0]
ring, dx2 = 2 * np.pi * r, ufl.dx(metadata=rule)


def density(a):
    return ufl.as_vector([-a.dx(1), a.dx(0) + a / r])


a, trial, test = fem.Function(space), ufl.TrialFunction(space), ufl.TestFunction(space)
step, at = fem.Function(space), fem.Function(space)
nu, more, b, current = fem.Function(points), fem.Function(points), fem.Function(points2), fem.Function(flat)
current.x.array[:] = np.where(region == COIL, CURRENT * TURNS_PER_M2, 0)
is_iron = np.repeat((region == STILL) | (region == MOVING), 3)  # by quadrature point
seat = fem.Expression(density(at), basix.make_quadrature(basix.CellType.triangle, 2)[0])
all_cells = np.arange(triangles, dtype=np.int32)

gradient = fem.form((nu * ufl.inner(density(at), density(test)) - current * test) * ring * dx2)
tangent = fem.form((nu * ufl.inner(density(trial), density(test)) +
                    more * ufl.inner(b, density(trial)) * ufl.inner(b, density(test))) * ring * dx2)
domain.topology.create_connectivity(1, 2)
rim = mesh.exterior_facet_indices(domain.topology)
zero = fem.dirichletbc(PETSc.ScalarType(0), fem.locate_dofs_topological(space, 1, rim), space)
fixed = zero.dof_indices()[0]


def materials():
    field = seat.eval(all_cells).reshape(-1, 2)
    b.x.array[:] = field.ravel()
    size = np.hypot(field[:, 0], field[:, 1])
    nu.x.array[:] = 1 / MU0
    more.x.array[:] = 0
    inside = size[is_iron]
    h, slope = iron(inside)
    ratio = np.where(inside > 0, h / np.maximum(inside, 1e-300), table[0, 2])
    nu.x.array[is_iron] = ratio
    more.x.array[is_iron] = np.where(inside > 0, (slope - ratio) / np.maximum(inside, 1e-150)**2, 0)


def residual(values):
    at.x.array[:] = values
    materials()
    result = fem.petsc.assemble_vector(gradient).array.copy()
    result[fixed] = 0
    return result


def length_of(start, dx):
    """As in src/field/newton.c: the first length at which the slope has fallen to a quarter."""
    low, high, at_low, length = 0.0, 1.0, start, 1.0
    slope = at_high = residual(a.x.array + dx) @ dx
    for _ in range(30):
        if abs(slope) <= 0.25 * -start or at_high <= 0:
            break
        share = min(max(at_low / (at_low - at_high), 0.1), 0.9)
        length = low + (high - low) * share
        slope = residual(a.x.array + length * dx) @ dx
        if slope > 0:
            high, at_high = length, slope
        else:
            low, at_low = length, slope
    return length


matrix = fem.petsc.create_matrix(tangent)
solver = PETSc.KSP().create(MPI.COMM_SELF)
solver.setType("preonly")
solver.getPC().setType("cholesky")
solver.getPC().setFactorSolverType("mumps")
PETSc.Options()["mat_mumps_icntl_7"] = 3  # SCOTCH's order, the fastest here of those at hand
solver.setFromOptions()
matrix.setOption(PETSc.Mat.Option.SPD, True)
solver.setOperators(matrix)
load = fem.petsc.assemble_vector(fem.form(current * test * ring * dx2)).array.copy()
load[fixed] = 0
steps = 0
force = residual(a.x.array)
while True:
    matrix.zeroEntries()
    fem.petsc.assemble_matrix(matrix, tangent, bcs=[zero])
    matrix.assemble()
    solver.solve(PETSc.Vec().createWithArray(-force), step.vector)
    steps += 1
    dx = step.x.array
    slope = force @ dx
    if abs(slope / (load @ (a.x.array + dx))) <= 1e-7:
        a.x.array[:] += dx
        break
    a.x.array[:] += length_of(slope, dx) * dx
    force = residual(a.x.array)

w = fem.Function(lines)  # 1 on the moving part's corners, 0 on all others
w.x.array[np.unique(lines.dofmap.list.array.reshape(-1, 3)[region == MOVING])] = 1
field, air = density(a), fem.Function(flat)
air.x.array[:] = np.where((region == STILL) | (region == MOVING), 0, 1)
stress = (ufl.inner(field, field) / 2 * w.dx(1) - field[0]**2 * w.dx(1) + field[1] * field[0] * w.dx(0)) / MU0
pull = fem.assemble_scalar(fem.form(air * stress * ring * dx2))
linkage = load @ a.x.array / CURRENT
print(f"{linkage:.12g} {pull:.12g} {steps} {len(a.x.array) - len(fixed)}")
